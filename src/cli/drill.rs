//! `drill`: predictions first, then what the bench did and why.

use std::io::{self, BufRead, IsTerminal, Write};
use std::path::PathBuf;

use crate::diagnostic::Code;
use crate::language::Phrase;
use crate::report::Reader;
use crate::scenario::{Drill, Question, letter};

use super::args::Show;
use super::{console, exit, input};

/// Longest line read as an answer [bytes].
const LINE: u64 = 4096;

/// What `drill` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Drill file.
    pub file: PathBuf,
    /// Predictions, a letter a question; asked for if not given.
    #[arg(long, value_delimiter = ',', value_name = "LETTERS")]
    pub answers: Option<Vec<String>>,
}

/// Asks every question of the drill, takes a prediction, and shows what the bench did.
pub fn drill(wish: &Wish, show: Show, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let reader = Reader::new(show.language, show.units);
    let Some(drill) = input::drill(&wish.file, reader.words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let given = match wish.answers.as_ref().map(|given| answers(given, &drill)) {
        None => None,
        Some(Ok(given)) => Some(given),
        Some(Err(message)) => {
            let help = Phrase::new("drills-letters");
            let line = input::problem("--answers", Code::BAD_LINE, message, help, reader.words);
            writeln!(err, "{line}")?;
            return Ok(exit::BAD_INPUT);
        }
    };
    writeln!(out, "{}\n{}", drill.title, reader.say("safety"))?;
    if !drill.brief.is_empty() {
        writeln!(out, "\n{}", drill.brief)?;
    }
    let stdin = io::stdin();
    let prompt = stdin.is_terminal();
    let mut lines = stdin.lock();
    let mut right = 0_usize;
    let mut answered = 0_usize;
    for (k, question) in drill.questions.iter().enumerate() {
        ask(&drill, k, question, &reader, out)?;
        let said = match &given {
            Some(given) => given[k],
            None => match listen(question, prompt, &mut lines, &reader, out)? {
                Some(said) => said,
                None => break,
            },
        };
        answered += 1;
        right += usize::from(said == question.right);
        tell(question, said, &reader, out)?;
    }
    let sum = Phrase::new("drill-sum").with("right", right).with("count", drill.questions.len());
    writeln!(out, "\n{}", reader.words.phrase(&sum))?;
    let left = drill.questions.len() - answered;
    if left > 0 {
        writeln!(out, "{}", reader.fill("drill-left", "count", left))?;
    }
    Ok(if right == drill.questions.len() { exit::SUCCESS } else { exit::NOT_YET_COMPETENT })
}

/// The choices meant by `given`, one a question.
fn answers(given: &[String], drill: &Drill) -> Result<Vec<usize>, Phrase> {
    let wanted = drill.questions.len();
    if given.len() != wanted {
        let phrase = Phrase::new("drills-answers").with("wanted", wanted);
        return Err(phrase.with("given", given.len()));
    }
    let pairs = given.iter().zip(&drill.questions);
    pairs
        .map(|(text, question)| {
            chosen(text, question).ok_or_else(|| {
                let last = letter(question.choices.len() - 1).to_string();
                Phrase::new("drills-no-letter").with("written", text.as_str()).with("last", last)
            })
        })
        .collect()
}

/// The choice that `text` names.
fn chosen(text: &str, question: &Question) -> Option<usize> {
    let text = text.trim().to_lowercase();
    (0..question.choices.len()).find(|k| text == letter(*k).to_string())
}

fn ask(
    drill: &Drill,
    k: usize,
    question: &Question,
    reader: &Reader,
    out: &mut dyn Write,
) -> io::Result<()> {
    let head = Phrase::new("drill-question")
        .with("number", k + 1)
        .with("count", drill.questions.len())
        .with("machine", question.scenario.plan.name.as_str());
    writeln!(out, "\n{}\n{}", reader.words.phrase(&head), question.ask)?;
    let steps: Vec<String> =
        question.prove.iter().map(|a| reader.words.action(&a.to_string())).collect();
    writeln!(out, "{}", reader.fill("drill-proof", "steps", steps.join("; ")))?;
    for (k, choice) in question.choices.iter().enumerate() {
        writeln!(out, "  {}  {}", letter(k), choice.say)?;
    }
    out.flush()
}

/// Reads a prediction; `None` when nobody answers any more.
fn listen(
    question: &Question,
    prompt: bool,
    lines: &mut dyn BufRead,
    reader: &Reader,
    out: &mut dyn Write,
) -> io::Result<Option<usize>> {
    loop {
        if prompt {
            write!(out, "{} ", reader.say("drill-prompt"))?;
            out.flush()?;
        }
        let mut bytes = Vec::new();
        let mut line = io::Read::take(&mut *lines, LINE);
        if line.read_until(b'\n', &mut bytes)? == 0 {
            return Ok(None);
        }
        let text = String::from_utf8_lossy(&bytes);
        let text = text.split('#').next().unwrap_or("").trim();
        if text.is_empty() {
            continue;
        }
        if text == "quit" || text == "exit" {
            return Ok(None);
        }
        if let Some(said) = chosen(text, question) {
            return Ok(Some(said));
        }
        let last = letter(question.choices.len() - 1).to_string();
        writeln!(out, "  ? {}", reader.fill("drill-none", "last", last))?;
    }
}

/// What the bench did, and why.
fn tell(question: &Question, said: usize, reader: &Reader, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", reader.say("drill-bench"))?;
    for entry in &question.proof {
        let action = reader.words.action(&entry.action.to_string());
        writeln!(out, "  {} {action}", entry.started)?;
        console::show(&entry.outcome, reader, out)?;
    }
    let held = question.choices.get(question.right).map_or("", |c| c.say.as_str());
    let verdict = if said == question.right { "drill-right" } else { "drill-wrong" };
    let verdict = Phrase::new(verdict)
        .with("said", letter(said).to_string())
        .with("letter", letter(question.right).to_string())
        .with("choice", held);
    writeln!(out, "{}", reader.words.phrase(&verdict))?;
    if !question.because.is_empty() {
        writeln!(out, "{}", question.because)?;
    }
    Ok(())
}
