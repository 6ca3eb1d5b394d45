//! `firstraster stage [PATTERN [SHEET]]`: a stage asked for part by part and written into the sheet.
//!
//! Without a sheet the patterns, or the questions of one, are shown. With written
//! answers nothing is asked. Otherwise one question stands on the screen at a
//! time; a wrong answer brings its message and the same question again, and
//! nothing is written before a yes at the end. Status 1 where the answers end
//! before the questions do.

use std::io::{self, BufRead};
use std::path::Path;

use benchwork::{
    FilledStage, StageTask, Trouble, WrittenAnswer, answer_all, folded, tell_stages,
    written_answers,
};
use receiver::stage_patterns::{Interview, is_nothing};

use crate::cli::StageArguments;
use crate::commands::{AT_FAULT, DONE};
use crate::output::{Screen, Stop, stage_page};

/// Runs the command.
pub fn run(arguments: &StageArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let (Some(pattern), Some(sheet)) = (&arguments.pattern, &arguments.sheet) else {
        return tell(arguments.pattern.as_deref(), screen);
    };
    let is_written = arguments.answers.is_some() || !arguments.answer.is_empty();
    let is_asked = !is_written || arguments.ask_the_rest;
    let from_pipe = |path: &Path| path == Path::new("-");
    if is_asked && (from_pipe(sheet) || arguments.answers.as_deref().is_some_and(from_pipe)) {
        return Err(Stop::from(Trouble::input(
            "questions are answered on standard input, so nothing else can be read from there",
            "name a file in place of `-`",
        )));
    }
    let answers = written_answers(arguments.answers.as_deref(), &arguments.answer)?;
    let task = StageTask::open(pattern, sheet)?;
    let mut interview = task.interview()?;
    if !is_asked {
        let said = answer_all(&mut interview, &answers)?;
        let mut filled = task.filled(&interview)?;
        filled.view.said = said;
        if !arguments.only_show {
            task.write(&mut filled)?;
        }
        return show(&filled, screen);
    }
    let mut talk = Talk {
        task: &task,
        interview,
        prepared: answers,
        only_show: arguments.only_show,
        said: Vec::new(),
        screen,
    };
    talk.whole()
}

fn tell(pattern: Option<&str>, screen: &mut Screen) -> Result<u8, Stop> {
    let list = tell_stages(pattern)?;
    if screen.json {
        screen.answer(&list)?;
    } else if pattern.is_some() {
        for pattern in &list.patterns {
            screen.say(&stage_page::form(pattern))?;
        }
    } else {
        screen.say(&stage_page::list(&list))?;
    }
    Ok(DONE)
}

fn show(filled: &FilledStage, screen: &mut Screen) -> Result<u8, Stop> {
    if screen.json {
        screen.answer(&filled.view)?;
    } else {
        screen.say(&stage_page::lines(&filled.view))?;
        screen.say(&stage_page::outcome(&filled.view))?;
    }
    Ok(DONE)
}

/// What a line typed in answer to a question is.
enum Typed {
    Answer(String),
    Back,
    Lines,
    Help,
    Stop,
    /// Nothing comes any more.
    End,
}

/// One conversation about one stage.
struct Talk<'a> {
    task: &'a StageTask,
    interview: Interview<'a>,
    /// Answers written down before; each is used once.
    prepared: Vec<WrittenAnswer>,
    only_show: bool,
    said: Vec<String>,
    screen: &'a mut Screen,
}

impl Talk<'_> {
    fn whole(&mut self) -> Result<u8, Stop> {
        let opening = stage_page::opening(self.interview.pattern(), self.task.sheet_name());
        self.screen.remark(&opening)?;
        let outcome = self.questions();
        if outcome.is_err() {
            // A full disk or a sheet changed meanwhile must not cost the answers.
            self.keep_answers()?;
        }
        outcome
    }

    fn questions(&mut self) -> Result<u8, Stop> {
        let mut is_new = true;
        loop {
            let Some(asked) = self.interview.question() else {
                match self.close()? {
                    Some(status) => return Ok(status),
                    None => {
                        is_new = true;
                        continue;
                    }
                }
            };
            if is_new {
                let number = self.interview.given().len() + 1;
                self.screen.remark(&stage_page::question(number, &asked))?;
            }
            let name = folded(&asked.name);
            let prepared = self.prepared.iter().position(|one| one.question == name);
            let typed = match prepared {
                Some(at) => {
                    let answer = self.prepared.remove(at).text;
                    self.screen.remark(&format!("> {answer}\n"))?;
                    Typed::Answer(answer)
                }
                None => self.read("> ")?,
            };
            is_new = match typed {
                Typed::Answer(text) => self.take(&asked.name, &text)?,
                Typed::Back if self.interview.back() => true,
                Typed::Back => {
                    self.screen.remark("  this is the first question\n")?;
                    false
                }
                Typed::Lines => {
                    let filled = self.task.filled(&self.interview)?;
                    self.screen.remark(&stage_page::lines(&filled.view))?;
                    false
                }
                Typed::Help => {
                    self.screen.remark(stage_page::HELP)?;
                    true
                }
                Typed::Stop => return self.stopped(DONE),
                Typed::End => return self.stopped(AT_FAULT),
            };
        }
    }

    /// Takes an answer; `false` if it was refused.
    fn take(&mut self, question: &str, text: &str) -> Result<bool, Stop> {
        match self.interview.answer(text) {
            Ok(remarks) => {
                for remark in remarks {
                    self.screen.remark(&stage_page::remark(&remark))?;
                    self.said.push(format!("{question}: {remark}"));
                }
                Ok(true)
            }
            Err(fault) => {
                self.screen.remark(&stage_page::refusal(text, &fault))?;
                Ok(false)
            }
        }
    }

    /// Shows the lines and asks whether to write them; nothing if the last question is to be asked again.
    fn close(&mut self) -> Result<Option<u8>, Stop> {
        let mut filled = self.task.filled(&self.interview)?;
        self.screen.remark(&stage_page::lines(&filled.view))?;
        let unused = self.prepared.iter().filter(|one| !is_nothing(&one.text));
        self.screen.remark(&stage_page::not_asked(unused))?;
        if !filled.view.lines.is_empty() && !self.only_show {
            let count = filled.view.lines.len();
            let ask = stage_page::write_question(count, self.task.sheet_name());
            loop {
                self.screen.remark(&ask)?;
                match self.read("> ")? {
                    Typed::Answer(text) => match text.trim().to_lowercase().as_str() {
                        "yes" | "y" => break,
                        "no" | "n" => return self.stopped(DONE).map(Some),
                        _ => {}
                    },
                    Typed::Back => {
                        self.interview.back();
                        return Ok(None);
                    }
                    Typed::Stop => return self.stopped(DONE).map(Some),
                    Typed::End => return self.stopped(AT_FAULT).map(Some),
                    Typed::Lines => self.screen.remark(&stage_page::lines(&filled.view))?,
                    Typed::Help => {}
                }
            }
            self.task.write(&mut filled)?;
        }
        self.screen.remark(&stage_page::outcome(&filled.view))?;
        if self.screen.json {
            filled.view.said.clone_from(&self.said);
            self.screen.answer(&filled.view)?;
        }
        Ok(Some(DONE))
    }

    fn stopped(&mut self, status: u8) -> Result<u8, Stop> {
        self.keep_answers()?;
        if self.screen.json {
            let mut filled = self.task.filled(&self.interview)?;
            filled.view.said.clone_from(&self.said);
            self.screen.answer(&filled.view)?;
        }
        Ok(status)
    }

    fn keep_answers(&mut self) -> Result<(), Stop> {
        self.screen
            .remark(&stage_page::kept_answers(self.interview.given()))
    }

    fn read(&mut self, prompt: &str) -> Result<Typed, Stop> {
        self.screen.remark(prompt)?;
        let mut bytes = Vec::new();
        let read = io::stdin().lock().read_until(b'\n', &mut bytes);
        if read.is_err() || bytes.is_empty() {
            self.screen.remark("\n")?;
            return Ok(Typed::End);
        }
        let text = String::from_utf8_lossy(&bytes);
        let text = text.trim();
        Ok(match text.to_lowercase().as_str() {
            "back" => Typed::Back,
            "lines" => Typed::Lines,
            "help" => Typed::Help,
            "stop" => Typed::Stop,
            _ => Typed::Answer(text.to_owned()),
        })
    }
}
