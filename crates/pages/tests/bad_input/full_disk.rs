//! The disk full in the middle of an entry, a photograph, a sheet, an export, a copy.
//!
//! A small file system of its own is mounted for a child of this test, where this computer allows that to its user
//! (Linux, `unshare`); else the test says so. A limit on the size of a file (POSIX, `ulimit -f`) is tried
//! everywhere. Room is taken by a file that is as large as what is left, but for some kilobytes: each place at which
//! the writing can break off is met.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::asked::one_point::ONE_POINT;
use super::asked::{Answer, Asked};
use super::{is_whole, says};

/// Names the small file system to the child.
const SMALL: &str = "BAD_INPUT_SMALL_DISK";

/// Names the folder of the child whose files are limited.
const LIMITED: &str = "BAD_INPUT_LIMITED";

/// Kilobytes that are left: none, less than the log needs, some of what an entry takes, and all of it.
const ROOM: &[usize] = &[0, 4, 16, 28, 32, 36, 40, 48, 64, 96, 128];

/// The child: a test of this name, run again.
fn again(name: &str, in_front: &[&str], told: (&str, &Path)) -> Option<std::process::Output> {
    let own = std::env::current_exe().expect("this program");
    let (first, rest) = in_front.split_first()?;
    let child = Command::new(first)
        .args(rest)
        .arg(&own)
        .args(["--exact", name, "--nocapture", "--test-threads=1"])
        .env(told.0, told.1)
        .env("TMPDIR", told.1)
        .output();
    child.ok()
}

/// Takes all room but so many kilobytes.
fn fill(folder: &Path, leave: usize) -> PathBuf {
    let ballast = folder.join("ballast");
    let mut file = File::create(&ballast).expect("made");
    let page = [0x5a_u8; 4096];
    while file.write_all(&page).is_ok() {}
    let size = file.metadata().expect("told").len();
    let kept = size.saturating_sub((leave << 10) as u64);
    file.set_len(kept).expect("shortened");
    ballast
}

async fn enter(bench: &Asked, id: &str) -> Answer {
    let fields = [
        ("place", "line"),
        ("value", "117 V a.c."),
        ("note", "kept words"),
        ("once", id),
    ];
    bench.post("/readings", &fields).await
}

async fn photograph(bench: &Asked, id: &str) -> Answer {
    // What stands behind the end of a picture is kept with it: 200 kB.
    let bytes = [ONE_POINT, id.repeat(200_000 / id.len()).as_bytes()].concat();
    let fields = [("shows", "kept words"), ("once", id)];
    let file = ("photograph", "a.png", &bytes[..]);
    bench.post_file("/photographs", &fields, file).await
}

async fn sheet(bench: &Asked, id: &str) -> Answer {
    let now = benchwork::present_sheet(&bench.file()).expect("a sheet");
    let text = format!("{}\n# {}\n", now.text, id.repeat(60_000 / id.len()));
    let fields = [
        ("text", text.as_str()),
        ("sheet", now.mark.as_str()),
        ("do", "take"),
        ("once", id),
    ];
    bench.post("/sheet", &fields).await
}

async fn step(bench: &Asked, id: &str) -> Answer {
    let fields = [("because", "the lamp is not here yet"), ("once", id)];
    bench.post("/power/leave", &fields).await
}

/// Enters with so little room, then with enough; how often the disk was full.
async fn with_little_room<'b, F: Future<Output = Answer> + 'b>(
    folder: &Path,
    bench: &'b Asked,
    name: &str,
    enter: impl Fn(&'b Asked, String) -> F,
) -> usize {
    let mut full = 0;
    for room in ROOM {
        let id = format!("{name}-{room}-kilobytes");
        let before = bench.entries();
        let ballast = fill(folder, *room);
        let answer = enter(bench, id.clone()).await;
        // What is read needs no room.
        for at in ["/", "/readings", "/look", "/photographs", "/story/1"] {
            let page = bench.get(at).await;
            assert_eq!(page.status, 200, "{name}, {room} kB: {}", page.text);
            let is_told = page.text.contains("role=\"alert\"");
            assert!(!is_told, "{name}, {room} kB, {at}: {}", page.text);
        }
        let went = answer.status == 303;
        if !went {
            says(
                &answer,
                507,
                &[
                    "disk of the laptop is full",
                    "nothing was written",
                    "make room",
                ],
            );
            full += 1;
        }
        fs::remove_file(ballast).expect("room is made");
        is_whole(bench, before + usize::from(went)).await;
        // The phone sends it again by itself, here twice.
        for _ in 0..2 {
            let answer = enter(bench, id.clone()).await;
            assert_eq!(answer.status, 303, "{name}, {room} kB: {}", answer.text);
        }
        is_whole(bench, before + 1).await;
    }
    full
}

#[tokio::test]
async fn nothing_is_lost_on_a_full_disk() {
    let name = "full_disk::nothing_is_lost_on_a_full_disk";
    let Some(folder) = std::env::var_os(SMALL).map(PathBuf::from) else {
        let folder = tempfile::tempdir().expect("a folder");
        let script = "mount -t tmpfs -o size=24m tmpfs \"$BAD_INPUT_SMALL_DISK\" || exit 77; exec \"$0\" \"$@\"";
        let front = ["unshare", "-Urm", "sh", "-c", script];
        match again(name, &front, (SMALL, folder.path())) {
            Some(out) if out.status.success() => {}
            Some(out)
                if String::from_utf8_lossy(&out.stdout).contains("panicked")
                    || String::from_utf8_lossy(&out.stderr).contains("panicked") =>
            {
                panic!("{}", String::from_utf8_lossy(&out.stderr));
            }
            _ => println!("not tried: this computer gives its user no file system of its own"),
        }
        return;
    };
    let bench = Asked::of("small/two_rectifiers.toml");
    let reading = with_little_room(&folder, &bench, "reading", |bench, id| async move {
        enter(bench, &id).await
    });
    assert!(reading.await > 2);
    let photograph = with_little_room(&folder, &bench, "photograph", |bench, id| async move {
        photograph(bench, &id).await
    });
    assert!(photograph.await > 2);
    let sheet = with_little_room(&folder, &bench, "sheet", |bench, id| async move {
        sheet(bench, &id).await
    });
    assert!(sheet.await > 2);
    let step = with_little_room(&folder, &bench, "step", |bench, id| async move {
        step(bench, &id).await
    });
    assert!(step.await > 2);
    out_of_room(&folder, &bench).await;
}

/// The copy and the export: all of it or nothing, and nothing is left lying about.
async fn out_of_room(folder: &Path, bench: &Asked) {
    let entries = bench.entries();
    for room in [0, 40, 200, 400] {
        let names = |folder: &Path| {
            let mut names: Vec<_> = fs::read_dir(folder)
                .expect("read")
                .map(|own| own.expect("one").file_name())
                .collect();
            names.sort();
            names
        };
        let before = names(folder);
        let out = folder.join("written out");
        let ballast = fill(folder, room);
        let copy = bench.get("/keep/copy.restoration").await;
        let fields = [("folder", out.to_str().expect("a name"))];
        let export = bench.post("/keep/export", &fields).await;
        for answer in [&copy, &export] {
            says(answer, 507, &["disk of the laptop is full", "make room"]);
        }
        fs::remove_file(ballast).expect("room is made");
        assert_eq!(names(folder), before, "{room} kB: nothing is left");
        is_whole(bench, entries).await;
    }
}

#[tokio::test]
async fn a_file_that_may_not_grow_loses_nothing() {
    let name = "full_disk::a_file_that_may_not_grow_loses_nothing";
    if std::env::var_os(LIMITED).is_some() {
        // The file was made before the limit stood, see below; only what is new is refused.
        let bench = Asked::opened(&std::env::var_os(LIMITED).map(PathBuf::from).expect("told"));
        let refused = enter(&bench, "sent-with-little-room").await;
        let status = refused.status.as_u16();
        assert!([503, 507].contains(&status), "{status}: {}", refused.text);
        says(&refused, status, &["did not succeed", "kept words"]);
        assert_eq!(bench.get("/").await.status, 200);
        assert_eq!(bench.get("/readings").await.status, 200);
        assert_eq!(bench.entries(), 1);
        return;
    }
    let bench = Asked::of("small/two_rectifiers.toml");
    let folder = bench
        .file()
        .parent()
        .map(Path::to_path_buf)
        .expect("a folder");
    // POSIX counts in blocks of 512 bytes: no file grows beyond 2 KiB, which holds no page of the log.
    let script = "trap '' XFSZ; ulimit -f 4; exec \"$0\" \"$@\"";
    let out = again(name, &["sh", "-c", script], (LIMITED, &folder)).expect("a shell");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    is_whole(&bench, 1).await;
    for _ in 0..2 {
        assert_eq!(enter(&bench, "sent-with-little-room").await.status, 303);
    }
    is_whole(&bench, 2).await;
}
