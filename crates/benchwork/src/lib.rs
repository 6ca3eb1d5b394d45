//! One function for each thing a restorer does at the bench.
//!
//! A sheet comes from a file ([`read_sheet_file`]) or is at hand already
//! ([`SheetFile::in_memory`]); what is typed as a bench condition becomes a checked
//! one in [`bench_words`]; [`check_sheet`], [`expect_readings`], [`cold_ohms`],
//! [`lay_chart`] and [`plan_first_power_up`] ask the receiver; [`tell_demo`] does all of it once for
//! the example set; [`tell_tube`] asks the catalogue; a [`StageTask`] fills a pattern of a stage and writes it into
//! the sheet; [`list_parts`] and [`PartsIn`] exchange its parts with a spreadsheet;
//! [`start_restoration`], [`record_reading`] and their like put facts into a restoration's file, and [`tell_story`]
//! tells them; [`place_on_photograph`] marks where a tube is and [`tell_chassis`] tells it; [`judge_picture_tube`] judges what is kept of a picture tube; [`tell_suspects`] tells which part
//! explains the readings; [`tell_forming`] tells how an electrolytic is formed anew outside the set; [`tell_proof`]
//! tells the check list at the end; [`hand_on`] gathers what is handed on with the set. Every answer is a [`view`]:
//! the fixed machine-readable form, which tables and pages show as well. What
//! went wrong is a [`Trouble`].
//!
//! Units: as each field's name says. Files are read and written here and nowhere below. No
//! terminal is known here.
//!
//! ```
//! use benchwork::{SheetFile, check_sheet};
//!
//! let file = SheetFile::in_memory("no sheet at all", b"tubes = 3".to_vec());
//! let report = check_sheet(&file)?;
//! assert!(!report.ok);
//! # Ok::<(), benchwork::Trouble>(())
//! ```

mod asked_of_receiver;
pub mod bench_words;
mod change_sheet;
mod chassis;
mod check_conditions;
mod check_sheet;
mod cold_ohms;
pub mod curves;
mod demo_restoration;
mod drive_shown;
mod exchange_parts;
mod expect_readings;
pub mod figures;
mod fill_stage;
mod hand_on;
mod hunt;
pub mod hunt_words;
mod judge_entry;
mod keep_advice;
mod keep_restoration;
mod kept_foresight;
mod kept_photograph;
mod kept_plan;
mod known_sets;
mod lamp_words;
mod last_entry;
mod lay_chart;
mod long_work;
mod new_part;
mod picture_tube;
mod plan_first_power_up;
mod power_up;
pub mod power_words;
mod practice;
mod present_list;
mod present_sheet;
mod present_tables;
pub mod proof_words;
mod prove;
mod re_form;
mod read_own_file;
mod read_photograph;
mod read_sheet_file;
pub mod reading_rows;
mod reading_words;
mod record;
mod renew;
pub mod renewal_words;
mod restoration;
mod sent_once;
mod sheet_so_far;
mod smallest_sheet;
mod stage_answers;
mod start_restoration;
mod suits_part;
mod tell_demo;
mod tell_places;
mod tell_standing;
mod tell_story;
mod tell_things_to_see;
mod tell_tube;
mod tell_worth;
#[cfg(test)]
mod test_facts;
mod tested_tubes;
mod trouble;
pub mod view;
mod where_on_photographs;
mod write_file;

pub use chassis::{place_on_photograph, take_off_photograph, tell_chassis};
pub use check_sheet::{catalogue, check_sheet, sound_sheet};
pub use cold_ohms::cold_ohms;
pub use exchange_parts::{PartsIn, PartsOut, list_parts, write_list};
pub use expect_readings::{expect_readings, expect_under};
pub use fill_stage::{FilledStage, StageTask, answer_all, tell_stages};
pub use hand_on::{
    HandOnAsk, HandedFile, LabelView, LabelsView, hand_on, tell_labels, upright_photographs,
    write_folder,
};
pub use hunt::{
    CheckedBy, NewLooseEnd, NewNotice, NewOutcome, NewTrial, TriedHow, explain_suspect,
    record_loose_end, record_notice, record_outcome, record_trial, tell_as_read, tell_next,
    tell_suspects, tell_symptoms, tell_what_if,
};
pub use keep_advice::keep_advice;
pub use keep_restoration::{back_up_restoration, export_restoration, import_restoration};
pub use kept_photograph::{PhotographBytes, PhotographForm, photograph};
pub use lamp_words::lamp_words;
pub use last_entry::last_entry;
pub use lay_chart::lay_chart;
pub use logbook::{
    Changed, Conditions, Decided, Fitted, LARGEST_BYTES as LARGEST_PHOTOGRAPH_BYTES,
    MOST_PIXELS as MOST_PHOTOGRAPH_PIXELS, Placed, SENDING_ID_LENGTH, Seen, Stamp, TestResult,
    Tested,
};
pub use long_work::LongWork;
pub use picture_tube::{
    NewFinding, NewNeedle, PictureAsk, judge_picture_tube, record_findings, tell_picture_type,
};
pub use plan_first_power_up::{PowerUp, plan_first_power_up};
pub use power_up::{PowerReading, PowerSession};
pub use practice::{
    PracticeSet, begin_practice, give_up, name_part, practice_check, practice_reading,
    practice_signal, tell_practice,
};
pub use present_list::{hold_list, take_in_list};
pub use present_sheet::{
    PresentSheet, RowChange, RowState, SheetList, SheetRow, StateList, change_row,
    columns_of_faults, part_kinds, present_sheet, take_in_over, take_in_stage,
};
pub use present_tables::{BenchField, HEATER_WAYS, bench_fields, bench_of_faults, change_bench};
pub use prove::{NewProof, NewSignature, record_proof, sign_proof, tell_proof};
pub use re_form::{
    FormingAsk, NewForming, NewFormingReading, record_forming, tell_forming, tell_forming_of,
    tell_formings,
};
pub use read_sheet_file::{
    LARGEST_SHEET_BYTES, SheetFile, read_set_as_taken_in, read_set_file, read_sheet_file,
    sheet_file_sent,
};
pub use reading_words::what_names;
pub use record::{
    NewReading, add_photograph, add_photograph_bytes, correct_entry, note_changed, note_decided,
    note_seen, record_fitted, record_reading, record_test, undo_entry,
};
pub use renew::{
    OrderAsk, OrderOut, RenewAsk, keep_plan, order_list, tell_renewal, tell_silicon, tick_off,
};
pub use restoration::Entering;
pub use smallest_sheet::smallest_sheet;
pub use stage_answers::{WrittenAnswer, folded, written_answers};
pub use start_restoration::{start_restoration, take_in_sheet};
pub use tell_demo::{Demo, EXAMPLE_NAME, EXAMPLE_SHEET, tell_demo};
pub use tell_places::{PlacesView, TubeNamedView, tell_places};
pub use tell_standing::{NextStep, StandingView, tell_standing};
pub use tell_story::{tell_entry, tell_story, tell_story_and_first};
pub use tell_things_to_see::{tell_seen_of, tell_things_to_see};
pub use tell_tube::{NEAR_TYPES, tell_tube};
pub use tell_worth::{WorthAsk, tell_worth};
pub use trouble::Trouble;
pub use where_on_photographs::find_on_photographs;
pub use write_file::{replace_sheet, write_file, write_made};

/// Version of the program, as shown in every answer.
pub const PROGRAM_VERSION: &str = env!("CARGO_PKG_VERSION");

/// Edition of the machine-readable answers.
pub const FORMAT: u32 = 1;
