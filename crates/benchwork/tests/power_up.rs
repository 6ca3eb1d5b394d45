//! A whole first power-up on the invented transformer set, entered as a restorer would.
//!
//! The readings are those that the plan itself expects, or wrong ones where a stop is tried: what
//! is checked is the course (nothing passed in silence, the plan bending to what is entered, never
//! into power after the bench was left), not the figures, which other tests hold.

use std::path::PathBuf;

use benchwork::view::{AskedView, PowerUpView};
use benchwork::{
    Changed, Entering, Fitted, PowerReading, PowerSession, SheetFile, Stamp, Trouble, note_changed,
    record_fitted, start_restoration, tell_story,
};

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");

/// The same set with every capacitor renewed: fewer steps, fewer plans.
fn renewed() -> String {
    let capacitors = LARKFIELD.lines().filter_map(|line| {
        let mut cells = line.split('"').skip(1).step_by(2);
        let (reference, kind) = (cells.next()?, cells.next()?);
        ["electrolytic", "paper"]
            .contains(&kind)
            .then(|| format!("\"{reference}\""))
    });
    let all = capacitors.collect::<Vec<_>>().join(", ");
    let (before, state) = LARKFIELD.split_once("[state]").expect("a state");
    let rest: Vec<&str> = state
        .lines()
        .filter(|line| !line.starts_with("replaced") && !line.starts_with("original"))
        .collect();
    format!("{before}[state]\nreplaced = [{all}]{}", rest.join("\n"))
}

struct Bench {
    _folder: tempfile::TempDir,
    file: PathBuf,
    session: PowerSession,
    minute: u32,
}

impl Bench {
    fn with(sheet: &str) -> Bench {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("a.restoration");
        let sheet = SheetFile::in_memory("larkfield.toml", sheet.as_bytes().to_vec());
        let entering = Entering::new(&file, stamp(0));
        start_restoration(&entering, &sheet, None).expect("started");
        let session = PowerSession::of(&file);
        Bench {
            _folder: folder,
            file,
            session,
            minute: 0,
        }
    }

    fn now(&mut self) -> Stamp {
        self.minute += 1;
        stamp(self.minute)
    }

    fn tell(&mut self) -> PowerUpView {
        let now = self.now();
        self.session.tell(&now).expect("told")
    }

    fn begin(&mut self) -> PowerUpView {
        let now = self.now();
        self.session.begin(&now).expect("begun")
    }

    fn read(&mut self, at: &str, to: &str, value: &str, seconds: Option<f64>) -> PowerUpView {
        let now = self.now();
        let reading = PowerReading {
            place: at.to_owned(),
            to: to.to_owned(),
            value: value.to_owned(),
            seconds,
            ..PowerReading::default()
        };
        self.session.read(&now, reading).expect("read")
    }

    fn done(&mut self, because: &str) -> Result<PowerUpView, Trouble> {
        let now = self.now();
        self.session.done(&now, because)
    }

    fn fit(&mut self, part: &str, new: &str) {
        let at = self.now();
        let entering = Entering::new(&self.file, at);
        let fitted = Fitted {
            part: part.to_owned(),
            new: new.to_owned(),
            ..Fitted::default()
        };
        record_fitted(&entering, fitted).expect("fitted");
    }

    fn cut(&mut self, part: &str) {
        let at = self.now();
        let entering = Entering::new(&self.file, at);
        let changed = Changed {
            what: part.to_owned(),
            is: "cut loose".to_owned(),
            ..Changed::default()
        };
        note_changed(&entering, changed).expect("changed");
    }

    /// Reads everything that the step at hand asks for, as a healthy set shows it.
    fn read_all(&mut self, view: &PowerUpView) -> PowerUpView {
        let wait = view.step.as_ref().map(|step| step.wait_seconds);
        let mut last = view.clone();
        for own in view.asked.iter().filter(|own| own.verdict == "unread") {
            let value = healthy(own).to_string();
            let to = own.to.clone().unwrap_or_default();
            let now = self.now();
            let reading = PowerReading {
                place: own.at.clone(),
                to,
                value,
                what: Some(own.what.to_owned()),
                seconds: wait,
                ..PowerReading::default()
            };
            last = self.session.read(&now, reading).expect("read");
            assert_ne!(last.verdict, "stop", "{own:?}: {:?}", last.reasons);
        }
        last
    }

    /// Goes through the steps until the one of this key is at hand.
    fn go_to(&mut self, key: &str) -> PowerUpView {
        for _ in 0..60 {
            let view = self.tell();
            let step = view.step.as_ref().expect("a step");
            if step.key == key {
                return view;
            }
            self.pass(&view);
        }
        panic!("{key} was never at hand");
    }

    fn pass(&mut self, view: &PowerUpView) {
        let step = view.step.as_ref().expect("a step");
        let begun = if view.state == "to_begin" {
            self.begin()
        } else {
            view.clone()
        };
        for part in &step.parts {
            self.cut(part);
        }
        self.read_all(&begun);
        self.done("as found").expect("done");
    }
}

fn stamp(minute: u32) -> Stamp {
    let (hour, minute) = (8 + minute / 60, minute % 60);
    Stamp::read(&format!("2026-11-29T{hour:02}:{minute:02}:00+01:00")).expect("a time")
}

/// What a healthy set shows: the expected value, or one on the good side of every limit.
fn healthy(own: &AskedView) -> f64 {
    if let Some(expected) = own.expected {
        return expected;
    }
    let least = own.limits.iter().filter_map(|limit| limit.below);
    let most = own.limits.iter().filter_map(|limit| limit.above);
    match (least.reduce(f64::max), most.reduce(f64::min)) {
        (Some(least), Some(most)) => 0.5 * (least + most),
        (Some(least), None) => 2.0 * least.abs() + 1.0,
        (None, Some(most)) => most - most.abs() * 0.5,
        (None, None) => 1.0,
    }
}

/// Unit of a kind of reading.
fn unit(what: &str) -> &'static str {
    logbook::What::from_name(what).map_or("", logbook::What::unit)
}

fn text(trouble: &Trouble) -> String {
    format!("{trouble:?}")
}

#[test]
fn the_whole_way_from_the_look_to_the_sweep_feed() {
    let mut bench = Bench::with(LARKFIELD);
    let mut order = Vec::new();
    for _ in 0..60 {
        let view = bench.tell();
        let Some(step) = &view.step else {
            break;
        };
        order.push(step.key.clone());
        bench.pass(&view);
    }
    assert_eq!(bench.tell().state, "finished");
    let at = |key: &str| order.iter().position(|own| own == key).expect("a step");
    assert!(at("discharge") < at("cold_resistances"));
    assert!(at("cold_resistances") < at("transformer_alone 1"));
    assert!(at("ready") < at("heaters_alone 1") && at("heaters_alone 1") < at("supply 1"));
    assert_eq!(order.last().map(String::as_str), Some("before_sweep"));
    // Every step has its entry, and the advice of each step with power stands beside it.
    let story = tell_story(&bench.file, true).expect("told");
    let kinds = |kind: &str| story.entries.iter().filter(|one| one.kind == kind).count();
    assert_eq!(kinds("advised"), order.len());
    assert_eq!(kinds("stepped"), 2 * order.len());
    // The plan was worked out at some ends of steps, not at every entry.
    let worked_out = bench.session.worked_out();
    assert!((2..=8).contains(&worked_out), "{worked_out} plans");
    // A second program finds the last plan beside the facts.
    let mut other = PowerSession::of(&bench.file);
    other.tell(&stamp(500)).expect("told");
    assert_eq!(other.worked_out(), 0);
}

#[test]
fn what_must_not_stay_is_asked_for_part_by_part() {
    let mut bench = Bench::with(LARKFIELD);
    let view = bench.go_to("capacitors_to_go");
    let parts = view.step.as_ref().expect("a step").parts.clone();
    assert!(parts.len() > 2, "{parts:?}");
    bench.begin();
    let refused = bench.done("no time").expect_err("refused");
    assert!(text(&refused).contains(&parts.join(", ")), "{refused:?}");
    bench.fit(&parts[0], "0.047 mfd 630 V");
    bench.cut(&parts[1]);
    let view = bench.tell();
    assert_eq!(view.step.as_ref().expect("a step").parts, parts[2..]);
    assert!(
        view.bent_by
            .iter()
            .any(|line| line == &format!("{} cut loose", parts[1]))
    );
    for part in &parts[2..] {
        bench.cut(part);
    }
    let after = bench.done("").expect("done");
    assert_eq!(after.step.expect("a step").key, "electrolytics");
}

#[test]
fn a_limit_passed_is_a_stop_and_bars_power_until_the_cause_is_found() {
    let mut bench = Bench::with(&renewed());
    bench.go_to("transformer_alone 1");
    let begun = bench.begin();
    let own = begun
        .asked
        .iter()
        .find(|own| own.limits.iter().any(|limit| limit.above.is_some()))
        .expect("a guarded place");
    let most = own
        .limits
        .iter()
        .find_map(|limit| limit.above)
        .expect("a limit");
    let to = own.to.clone().unwrap_or_default();
    let fitting = format!("{} {}", healthy(own), unit(own.what));
    let other = bench.read(&own.at, &to, &fitting, Some(60.0)).entries[0].number;
    let value = format!("{}", 1.2 * most);
    let now = bench.now();
    let stopped = bench
        .session
        .read(
            &now,
            PowerReading {
                place: own.at.clone(),
                to: own.to.clone().unwrap_or_default(),
                value,
                what: Some(own.what.to_owned()),
                seconds: Some(60.0),
                ..PowerReading::default()
            },
        )
        .expect("read");
    assert_eq!(stopped.verdict, "stop");
    assert_eq!(stopped.cuts, Some("line"));
    assert_eq!(
        (stopped.evidence[0].at.as_str(), stopped.evidence[0].entry),
        (own.at.as_str(), stopped.entries[0].number)
    );
    assert_eq!(stopped.reasons[0].matches("its limit of").count(), 1);
    // Reading and stop were written together.
    assert_eq!(stopped.entries.len(), 2);
    let reading = stopped.entries[0].number;
    assert!(
        stopped.reasons[0].contains("its limit of"),
        "{:?}",
        stopped.reasons
    );
    // Charges and cold resistances come next; power is barred whatever is done before it.
    let view = bench.go_to("ready");
    assert_ne!(view.verdict, "stop");
    bench.pass(&view);
    let barred = bench.tell();
    assert_eq!(
        barred.step.as_ref().expect("a step").key,
        "transformer_alone 1"
    );
    assert_eq!(barred.verdict, "stop");
    let now = bench.now();
    let refused = bench.session.begin(&now).expect_err("barred");
    assert!(text(&refused).contains("stop of entry"), "{refused:?}");
    // Another reading taken back, or this one told anew and still too high, answers nothing.
    let at = bench.now();
    let entering = Entering::new(&bench.file, at);
    benchwork::undo_entry(&entering, Some(other), "misread").expect("undone");
    let at = bench.now();
    let entering = Entering::new(&bench.file, at);
    let still = [format!("value = {} {}", 1.3 * most, unit(own.what))];
    benchwork::correct_entry(&entering, reading, &still, "misread").expect("corrected");
    assert_eq!(bench.tell().verdict, "stop");
    // Work on the set answers it; before power both are shown once more.
    let at = bench.now();
    let entering = Entering::new(&bench.file, at);
    let change = Changed {
        what: "V9's socket".to_owned(),
        was: "bent pin".to_owned(),
        is: "straight".to_owned(),
        ..Changed::default()
    };
    let changed = note_changed(&entering, change).expect("noted").entry.number;
    let told = bench.tell();
    assert_ne!(told.verdict, "stop");
    let answered = told.answered_stop.as_ref().expect("told");
    assert_eq!(answered.by, [changed]);
    let words = told.reasons.join(" ");
    assert!(
        words.contains("V9's socket") && words.contains("its limit of"),
        "{words}"
    );
    let at = bench.now();
    let entering = Entering::new(&bench.file, at);
    benchwork::undo_entry(&entering, Some(changed), "nothing found").expect("undone");
    assert_eq!(bench.tell().verdict, "stop");
    // A reading that was mistyped is taken back, and the step may begin.
    let at = bench.now();
    let entering = Entering::new(&bench.file, at);
    benchwork::undo_entry(&entering, Some(reading), "misread").expect("undone");
    assert_eq!(bench.tell().verdict, "go_on");
    assert_eq!(bench.begin().state, "under_way");
}

#[test]
fn left_and_taken_up_days_later_it_begins_with_the_charges() {
    let mut bench = Bench::with(LARKFIELD);
    bench.go_to("heaters_alone 1");
    bench.begin();
    let later = Stamp::read("2026-12-03T20:00:00+01:00").expect("a time");
    let view = bench.session.tell(&later).expect("told");
    assert_eq!(view.step.as_ref().expect("a step").key, "discharge");
    assert_eq!(view.begun_again, Some("silence_under_power"));
    assert!(view.reasons.iter().any(|line| line.contains("PLUG IS OUT")));
    // Work on parts stays done.
    assert!(
        view.passed
            .iter()
            .any(|one| one.key.starts_with("re_forming"))
    );
    assert!(!view.passed.iter().any(|one| one.key == "cold_resistances"));
}

#[test]
fn what_is_needed_is_never_passed_over_and_a_reason_is_asked_for_the_rest() {
    let mut bench = Bench::with(&renewed());
    let view = bench.go_to("line_to_chassis");
    assert_eq!(view.step.expect("a step").kind, "line_to_chassis");
    let now = bench.now();
    let refused = bench.session.skip(&now, "no meter").expect_err("refused");
    assert!(text(&refused).contains("never passed over"));
    let refused = bench.done("no meter").expect_err("refused");
    assert!(text(&refused).contains("line a"));
    bench.go_to("transformer_alone 1");
    let now = bench.now();
    assert!(bench.session.skip(&now, "  ").is_err());
    let now = bench.now();
    let passed = bench.session.skip(&now, "no lamp at hand").expect("passed");
    let last = passed
        .passed
        .iter()
        .find(|one| one.key == "transformer_alone 1");
    let last = last.expect("passed");
    assert_eq!(last.how, "skipped");
    assert!(
        last.leaves_unknown
            .iter()
            .any(|line| line.contains("turns")),
        "{last:?}"
    );
}

#[test]
fn a_bare_number_answers_what_the_step_asks_and_the_plan_bends_to_it() {
    let sheet = LARKFIELD
        .lines()
        .filter(|line| !line.starts_with("variable_transformer"))
        .collect::<Vec<_>>()
        .join("\n");
    let mut bench = Bench::with(&sheet);
    let before = bench.tell();
    assert_eq!(before.bent_by, Vec::<String>::new());
    bench.go_to("cold_resistances");
    let view = bench.begin();
    // The winding's own copper, 4.4 ohm where the sheet says 4.1.
    let own = view
        .asked
        .iter()
        .find(|own| own.at == "V14.4" || own.to.as_deref() == Some("V14.4"))
        .expect("a winding");
    let value = format!("{}", 1.05 * own.expected.expect("expected"));
    let to = own.to.clone().unwrap_or_default();
    let read = bench.read(&own.at, &to, &value, None);
    assert!(
        read.bent_by.iter().any(|line| line.contains("of copper")),
        "{:?}",
        read.bent_by
    );
    bench.read("line", "", "121.5 V", None);
    bench.read_all(&read);
    let after = bench.done("as found").expect("done");
    assert!(
        after
            .bent_by
            .iter()
            .any(|line| line.starts_with("line 121.5 V"))
    );
    let view = bench.go_to("heaters_alone 1");
    let step = view.step.expect("a step");
    assert_eq!(step.conditions.line_volts, Some(121.5), "{}", step.title);
}

#[test]
fn a_number_that_may_be_two_things_is_asked_about_and_so_is_a_slip() {
    let mut bench = Bench::with(LARKFIELD);
    bench.go_to("capacitors_to_go");
    // Nothing is read here, yet it is not time to go on before the parts are seen to.
    assert_eq!(bench.begin().verdict, "wait");
    let view = bench.tell();
    bench.pass(&view);
    bench.go_to("heaters_alone 2");
    bench.begin();
    let now = bench.now();
    let bare = PowerReading {
        place: "line".to_owned(),
        value: "70".to_owned(),
        ..PowerReading::default()
    };
    let asked = bench
        .session
        .read(&now, bare)
        .expect_err("amperes or watts");
    assert!(text(&asked).contains("may be either"), "{asked:?}");
    assert_eq!(bench.tell().entries, []);
    let at = |view: &PowerUpView, at: &str| {
        let own = view.asked.iter().find(|own| own.at == at);
        own.and_then(|own| own.expected).expect("expected")
    };
    let healthy = at(&bench.tell(), "V18");
    let tenth = bench.read("V18", "", &format!("{}", 0.1 * healthy), Some(60.0));
    let question = tenth.reasons.iter().find(|own| own.contains("Is it"));
    let number = tenth.entries[0].number;
    let question = question.expect("a question");
    assert!(
        question.contains(&format!("firstraster correct FILE {number} \"value = ")),
        "{question}"
    );
}

#[test]
fn cold_resistances_of_which_none_was_read_are_not_done() {
    let mut bench = Bench::with(LARKFIELD);
    bench.go_to("cold_resistances");
    let refused = bench.done("no time").expect_err("nothing was read");
    assert!(text(&refused).contains("not read: "), "{refused:?}");
    bench.begin();
    bench.read("B+ main", "", "9.7k", None);
    assert!(bench.done("the rest is out of reach").is_ok());
}
