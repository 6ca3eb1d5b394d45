//! Who gets in from the home network: through TLS, by words once, by a token from then on, until it is taken back.
//!
//! Status as RFC 9110 has them: 303 see other, 307 elsewhere for now, 401 who are you, 403 not for you, 429 (RFC 6585)
//! too much at once. The server runs whole, on the loopback in place of a home network.

#[path = "../asked/mod.rs"]
mod asked;
mod phone;

use phone::{Laptop, Phone, Says, here};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

const SET: &str = "small/two_rectifiers.toml";
const READING: &[(&str, &str)] = &[
    ("place", "line"),
    ("value", "117 V"),
    ("what", "ac_volts_rms"),
];

/// A phone that took the laptop's authority in, as it is handed out without TLS to the laptop itself.
async fn phone_of(laptop: &Laptop) -> Phone {
    let authority = here(laptop, "/certificate", None).await;
    assert_eq!(
        authority.header("content-type"),
        Some("application/x-x509-ca-cert")
    );
    Phone::trusting(laptop, authority.body)
}

#[tokio::test]
async fn a_phone_gets_in_by_the_words_and_stays_until_its_leave_is_taken_back() {
    let laptop = Laptop::with(SET);
    let mut phone = phone_of(&laptop).await;
    for at in [
        "/",
        "/story",
        "/readings",
        "/devices",
        "/live",
        "/keep/copy.restoration",
    ] {
        let told = phone.opens(at).await;
        assert_eq!(told.status, 401, "{at}");
        assert!(told.text().contains("four words"), "{at}");
        assert!(told.header("www-authenticate").is_some());
    }
    assert_eq!(phone.sends("/readings", READING).await.status, 401);
    assert_eq!(laptop.entries(), 1, "nothing was entered");
    phone.token = Some("0123".to_owned());
    assert_eq!(
        phone.opens("/").await.status,
        401,
        "a made-up token is none"
    );
    phone.token = None;

    let page = phone.opens("/pair?words=one-two").await;
    assert_eq!(page.status, 200);
    assert!(page.text().contains("value=\"one two\""), "{}", page.text());
    let told = phone
        .pairs(&laptop.home.words.to_uppercase(), "Bench phone")
        .await;
    assert_eq!((told.status, told.header("location")), (303, Some("/")));
    let cookie = told.header("set-cookie").expect("a cookie").to_owned();
    for word in ["Secure", "HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    assert_eq!(phone.opens("/").await.status, 200);
    assert_eq!(phone.sends("/readings", READING).await.status, 303);
    assert_eq!(laptop.entries(), 2);

    let mut second = Phone::trusting(&laptop, here(&laptop, "/certificate", None).await.body);
    let told = second.pairs(&laptop.home.words, "Another").await;
    assert_eq!(told.status, 422, "words let in one device");

    // It listens while its leave is taken back at the laptop.
    let mut stream = phone.connected().await;
    let request = phone.request("/live", &Says::default(), true);
    stream.write_all(&request).await.expect("it is sent");
    let mut first = [0u8; 12];
    stream.read_exact(&mut first).await.expect("it is heard");
    assert_eq!(&first, b"HTTP/1.1 200");
    let list = here(&laptop, "/devices", None).await.text();
    assert!(list.contains("Bench phone"), "{list}");
    let told = here(&laptop, "/devices/back", Some(&[("name", "Bench phone")])).await;
    assert_eq!(told.status, 303);
    let mut rest = Vec::new();
    let _ = stream.read_to_end(&mut rest).await;
    let told = phone.sends("/readings", READING).await;
    assert_eq!(told.status, 401);
    assert!(
        told.text().contains("no longer lets this device in"),
        "{}",
        told.text()
    );
    assert_eq!(laptop.entries(), 2, "nothing was entered");

    let told = here(&laptop, "/devices/code", Some(&[])).await;
    assert_eq!(told.status, 303);
    let list = here(&laptop, "/devices", None).await.text();
    let (_, after) = list.split_once("class=\"words\"><b>").expect("new words");
    let words = after.split('<').next().expect("words");
    assert_eq!(second.pairs(words, "Bench phone").await.status, 303);
    assert_eq!(second.opens("/story").await.status, 200);
    assert_eq!(
        phone.opens("/story").await.status,
        401,
        "the old token stays gone"
    );
    let told = laptop.told.lock().expect("a list").clone();
    assert_eq!(
        told,
        ["\"Bench phone\" was let in.", "\"Bench phone\" was let in."]
    );
}

#[tokio::test]
async fn wrong_words_use_the_code_up() {
    let laptop = Laptop::with(SET);
    let mut phone = phone_of(&laptop).await;
    for left in [
        "4 more tries",
        "3 more tries",
        "2 more tries",
        "one more try",
        "no words hold now",
    ] {
        let told = phone.pairs("acorn acorn acorn acorn", "Bench phone").await;
        assert_eq!(told.status, 422);
        assert!(told.text().contains(left), "{left}: {}", told.text());
        assert!(
            told.text().contains("value=\"Bench phone\""),
            "what was typed stays"
        );
    }
    let told = phone.pairs(&laptop.home.words, "Bench phone").await;
    // The tries have their own measure too.
    assert_eq!(told.status, 429);
    assert_eq!(phone.opens("/").await.status, 401);
    let list = here(&laptop, "/devices", None).await.text();
    assert!(list.contains("No words hold now"), "{list}");
}

#[tokio::test]
async fn foreign_names_and_pages_are_refused_and_the_list_stays_at_the_laptop() {
    let laptop = Laptop::with(SET);
    let mut phone = phone_of(&laptop).await;
    phone.pairs(&laptop.home.words, "").await;
    let port = laptop.at_home().port();
    for host in [
        "laptop.example",
        &format!("192.168.1.1:{port}"),
        "127.0.0.1",
        "localhost:1",
    ] {
        let says = Says {
            host: Some(host),
            ..Says::default()
        };
        assert_eq!(phone.asks("/", says).await.status, 403, "{host}");
    }
    let says = Says {
        origin: Some("https://elsewhere.example"),
        form: Some(READING),
        ..Says::default()
    };
    assert_eq!(phone.asks("/readings", says).await.status, 403);
    assert_eq!(laptop.entries(), 1);
    for at in ["/devices/code", "/devices/back"] {
        assert_eq!(
            phone.sends(at, &[("name", "Phone")]).await.status,
            403,
            "{at}"
        );
    }
    let own = phone.opens("/devices").await.text();
    assert!(own.contains("let in, as &quot;Phone&quot;"), "{own}");
    assert_eq!(phone.sends("/devices/leave", &[]).await.status, 303);
    assert_eq!(phone.opens("/").await.status, 401);
}

#[tokio::test]
async fn whoever_comes_without_tls_is_shown_the_way() {
    let laptop = Laptop::with(SET);
    let mut stream = TcpStream::connect(laptop.at_home())
        .await
        .expect("a connection");
    stream
        .write_all(b"GET /story HTTP/1.1\r\nHost: x\r\n\r\n")
        .await
        .expect("it is sent");
    stream.shutdown().await.expect("all is said");
    let mut heard = Vec::new();
    stream.read_to_end(&mut heard).await.expect("it is heard");
    let told = phone::told(&heard);
    assert_eq!(told.status, 307);
    assert_eq!(told.header("location"), Some(laptop.home.pages[0].as_str()));
}

#[tokio::test]
async fn one_device_that_asks_too_much_waits_and_the_laptop_goes_on() {
    let laptop = Laptop::with(SET);
    let mut phone = phone_of(&laptop).await;
    phone.pairs(&laptop.home.words, "").await;
    let (mut from, mut to) = tokio::io::split(phone.connected().await);
    let (mut asked, mut heard) = (Vec::new(), Vec::new());
    for turn in 0..600 {
        asked.extend(phone.request("/pair", &Says::default(), turn == 599));
    }
    let sending = async { to.write_all(&asked).await };
    let (sent, _) = tokio::join!(sending, from.read_to_end(&mut heard));
    sent.expect("all is sent");
    let heard = String::from_utf8_lossy(&heard);
    let (fine, waits) = (
        heard.matches("HTTP/1.1 200").count(),
        heard.matches("HTTP/1.1 429").count(),
    );
    assert_eq!(fine + waits, 600);
    assert!(fine >= 190 && waits > 0, "{fine} answered, {waits} refused");
    assert!(heard.contains("retry-after: 3"));
    assert_eq!(here(&laptop, "/story", None).await.status, 200);
}

#[tokio::test]
async fn a_list_of_devices_that_cannot_be_read_lets_nobody_in_and_the_laptop_goes_on() {
    let laptop = Laptop::with(SET);
    let mut phone = phone_of(&laptop).await;
    phone.pairs(&laptop.home.words, "").await;
    let list = laptop.devices_folder().join("devices.json");
    let kept = std::fs::read(&list).expect("a list");
    std::fs::write(&list, "{").expect("written");
    let told = phone.opens("/story").await;
    assert_eq!(told.status, 500);
    assert!(told.text().contains("devices.json"), "{}", told.text());
    let own = here(&laptop, "/devices", None).await;
    assert_eq!(own.status, 200);
    assert!(own.text().contains("devices.json"), "{}", own.text());
    assert_eq!(std::fs::read(&list).expect("a list"), b"{");
    std::fs::write(&list, kept).expect("written");
    assert_eq!(phone.opens("/story").await.status, 200);
}
