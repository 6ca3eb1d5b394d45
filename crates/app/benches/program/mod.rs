//! The built program, started and asked as a browser asks it.
//!
//! Seconds; megabytes of a million bytes. Fails as a test does.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use paper::Jpeg;

/// The program as it serves; it ends with this.
pub struct Program {
    child: Child,
    address: String,
}

/// An answer.
pub struct Page {
    pub seconds: f64,
    pub text: String,
}

impl Program {
    /// Starts it on a free port and waits until it says its address.
    pub fn started(file: &Path) -> Program {
        let child = Command::new(env!("CARGO_BIN_EXE_firstraster"))
            .args(["bench", "--port", "0", "--json"])
            .arg(file)
            .stdout(Stdio::piped())
            .spawn()
            .expect("it starts");
        let mut own = Program {
            child,
            address: String::new(),
        };
        let out = own.child.stdout.take().expect("piped");
        let mut said = String::new();
        for line in BufReader::new(out).lines() {
            said.push_str(&line.expect("a line"));
            if let Some((_, rest)) = said.split_once("http://") {
                own.address = rest.split('/').next().unwrap_or_default().to_owned();
                return own;
            }
        }
        panic!("it told no address: {said}");
    }

    /// Sends a form; the seconds until its answer came.
    pub fn sent(&self, at: &str, form: &str) -> f64 {
        let begun = Instant::now();
        let (host, length) = (&self.address, form.len());
        let head = format!(
            "POST {at} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {length}\r\n\r\n{form}"
        );
        let mut wire = TcpStream::connect(host).expect("it answers");
        wire.write_all(head.as_bytes()).expect("sent");
        let mut answer = String::new();
        wire.read_to_string(&mut answer).expect("an answer");
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
        begun.elapsed().as_secs_f64()
    }

    fn asked(&self, at: &str) -> TcpStream {
        let mut wire = TcpStream::connect(&self.address).expect("it answers");
        let host = &self.address;
        let head = format!("GET {at} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        wire.write_all(head.as_bytes()).expect("sent");
        wire
    }

    /// Waits for the first byte of a page.
    pub fn first_byte(&self, at: &str) -> u8 {
        let mut byte = [0];
        self.asked(at).read_exact(&mut byte).expect("a byte");
        byte[0]
    }

    /// A page.
    pub fn page(&self, at: &str) -> Page {
        let begun = Instant::now();
        let mut bytes = Vec::new();
        self.asked(at).read_to_end(&mut bytes).expect("a page");
        let seconds = begun.elapsed().as_secs_f64();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        assert!(text.starts_with("HTTP/1.1 200"), "{at}: {text}");
        Page { seconds, text }
    }

    /// Sends photographs, all at once.
    pub fn send_at_once(&self, photographs: &[Vec<u8>]) {
        std::thread::scope(|scope| {
            for bytes in photographs {
                scope.spawn(move || self.send(bytes));
            }
        });
    }

    fn send(&self, photograph: &[u8]) {
        let part = "--edge\r\nContent-Disposition: form-data; name=\"photograph\"; filename=\"a.jpg\"\r\n\r\n";
        let body = [part.as_bytes(), photograph, b"\r\n--edge--\r\n"].concat();
        let (host, length) = (&self.address, body.len());
        let head = format!(
            "POST /photographs HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\nContent-Type: multipart/form-data; boundary=edge\r\nContent-Length: {length}\r\n\r\n"
        );
        let mut wire = TcpStream::connect(host).expect("it answers");
        wire.write_all(head.as_bytes()).expect("sent");
        wire.write_all(&body).expect("sent");
        let mut answer = String::new();
        wire.read_to_string(&mut answer).expect("an answer");
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    }

    /// The most memory that it ever had, MB; 0 where the system does not tell.
    pub fn most_memory(&self) -> u64 {
        let told = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()));
        let told = told.unwrap_or_default();
        let line = told.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.split_whitespace().next()?.parse::<u64>().ok());
        kib.unwrap_or(0) * 1024 / 1_000_000
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A photograph of 12 million pixels with something in each of them.
pub fn photograph(seed: u32) -> Vec<u8> {
    let (width, height) = (4000_u32, 3000_u32);
    let mut grain = seed.wrapping_mul(747_796_405);
    let mut pixels = Vec::with_capacity(3 * width as usize * height as usize);
    for down in 0..height {
        for across in 0..width {
            grain = grain.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            pixels.extend([(across / 16) as u8, (down / 12) as u8, (grain >> 27) as u8]);
        }
    }
    let made = Jpeg::from_rgb(pixels, width, height, 85);
    made.expect("a picture").bytes
}
