//! `assign`: a kit for every learner of a class.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::base::ops::round_significant;
use crate::class::{ENOUGH, LEAST_BAND, MOST_BAND, Variants};
use crate::diagnostic::{Code, Diagnostics};
use crate::language::{Phrase, Words};
use crate::scenario::{Scenario, load};

use super::args::Show;
use super::{class, exit, input};

/// What `assign` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Scenario file.
    pub scenario: PathBuf,
    /// The class: a CSV table with a column `id`.
    #[arg(long)]
    pub roster: PathBuf,
    /// File with the secret of the class, 16 bytes or more.
    #[arg(long)]
    pub secret: PathBuf,
    /// Folder for the kits.
    #[arg(long)]
    pub out: PathBuf,
    /// How far a fault may be from the scenario's difficulty, such as "25 %"; if not given, the
    /// narrowest band that holds enough faults.
    #[arg(long, value_parser = class::band)]
    pub band: Option<f64>,
    /// Write who got which fault to this CSV file, for the instructor alone.
    #[arg(long)]
    pub table: Option<PathBuf>,
}

/// Table of whose kit is whose.
const KEY: &str = "key.csv";
/// A class of this size or more should have so many faults to choose from.
const MANY: usize = 8;

/// Writes the kits.
pub fn assign(wish: &Wish, show: Show, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let words = Words::of(show.language);
    let (shelf, name) = input::place(&wish.scenario);
    let (mut sources, mut found) = (input::sources(&wish.scenario), Diagnostics::new());
    let scenario = load(&shelf, &name, &mut sources, &mut found);
    input::complain(&found, &sources, words, err)?;
    let Some(scenario) = scenario else { return Ok(exit::BAD_INPUT) };
    let class =
        class::class(&scenario, &wish.scenario, &wish.secret, &wish.roster, wish.band, words, err)?;
    let Some((class, variants)) = class else { return Ok(exit::BAD_INPUT) };
    let warning = |message: Phrase, help: Phrase| {
        input::warning(wish.scenario.display(), Code::NO_VARIANTS, message, help, words)
    };
    for (fault, why) in &variants.left_out {
        let message = Phrase::new("kits-left-out").with("fault", words.fault(fault));
        let message = message.with("why", why.clone());
        writeln!(err, "{}", warning(message, Phrase::new("kits-left-help")))?;
    }
    let files: BTreeMap<String, String> = sources
        .files()
        .filter_map(|file| Some((file.to_owned(), sources.text(file)?.to_string())))
        .collect();
    input::folder(&wish.out)?;
    let mut rows = Vec::new();
    for (pseudonym, id) in class.learners() {
        let Some(assigned) = class.assigned(pseudonym) else { continue };
        let kit = class.kit(&name, &files, &assigned);
        let file = format!("{pseudonym}.kit");
        if !put(&wish.out.join(&file), &kit, words, err)? {
            return Ok(exit::BAD_INPUT);
        }
        rows.push((id.to_owned(), pseudonym.to_owned(), file, assigned));
    }
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    let key = table(&["id", "pseudonym", "kit"], rows.iter().map(|(id, p, f, _)| [id, p, f]))?;
    if !put(&wish.out.join(KEY), &key, words, err)? {
        return Ok(exit::BAD_INPUT);
    }
    let named = |fault: &crate::fault::Fault| {
        variants
            .list
            .iter()
            .find(|v| v.fault == *fault)
            .map_or_else(String::new, |v| v.fault.name())
    };
    let costs: BTreeMap<String, f64> =
        variants.list.iter().map(|v| (v.fault.name(), v.cost_s)).collect();
    if let Some(path) = &wish.table {
        let rows: Vec<[String; 4]> = rows
            .iter()
            .map(|(id, pseudonym, _, assigned)| {
                let fault = named(&assigned.fault);
                let cost = costs.get(&fault).copied().unwrap_or(0.0);
                [id.clone(), pseudonym.clone(), fault, format!("{cost:.0}")]
            })
            .collect();
        let head = ["id", "pseudonym", "fault", "cost_s"];
        let text = table(&head, rows.iter().map(|row| row.each_ref()))?;
        input::save_with(path, |out| out.write_all(&text))?;
    }
    let given: BTreeSet<String> = rows.iter().map(|row| named(&row.3.fault)).collect();
    let wanted = MANY.min(rows.len());
    if variants.list.len() < wanted {
        let message =
            Phrase::new("kits-few").with("all", variants.list.len()).with("learners", rows.len());
        let help = match variants.band_for(wanted, &scenario) {
            Some(band) => {
                Phrase::new("kits-few-wider").with("band", percent(band)).with("wanted", wanted)
            }
            None => Phrase::new("kits-few-other"),
        };
        writeln!(err, "{}", warning(message, help))?;
    }
    for line in summary(&wish.out, &scenario, rows.len(), given.len(), &variants) {
        writeln!(out, "{}", words.phrase(&line))?;
    }
    let band = match wish.band {
        None => chosen(&variants),
        // As it is typed again, whatever the language.
        Some(band) => Phrase::new("kits-band-asked").with("band", percent(band) + " %"),
    };
    writeln!(out, "{}", words.phrase(&band))?;
    Ok(exit::SUCCESS)
}

fn summary(
    folder: &Path,
    scenario: &Scenario,
    learners: usize,
    given: usize,
    variants: &Variants,
) -> [Phrase; 3] {
    let seconds = |s: f64| format!("{s:.0}");
    [
        Phrase::new("kits-in")
            .with("scenario", scenario.title.as_str())
            .with("count", learners)
            .with("folder", folder.display().to_string()),
        Phrase::new("kits-faults")
            .with("given", given)
            .with("all", variants.list.len())
            .with("low", seconds(variants.band_s.0))
            .with("high", seconds(variants.band_s.1))
            .with("own", seconds(variants.difficulty_s)),
        Phrase::new("kits-key").with("file", folder.join(KEY).display().to_string()),
    ]
}

/// What is said of the band that was chosen.
fn chosen(variants: &Variants) -> Phrase {
    let all = variants.list.len();
    let id = if all < ENOUGH { "kits-band-widest" } else { "kits-band-chosen" };
    Phrase::new(id)
        .with("band", percent(variants.band))
        .with("least", percent(LEAST_BAND))
        .with("most", percent(MOST_BAND))
        .with("enough", ENOUGH)
        .with("all", all)
}

fn percent(share: f64) -> String {
    round_significant(100.0 * share, 6).to_string()
}

/// Writes a file that may be there already only if it is the same.
fn put(path: &Path, bytes: &[u8], words: Words, err: &mut dyn Write) -> io::Result<bool> {
    // A file for people is written anew when the class has grown.
    let anew = path.file_name().is_some_and(|name| name == KEY);
    if anew || !path.exists() {
        return input::save_with(path, |out| out.write_all(bytes)).map(|()| true);
    }
    if fs::read(path).is_ok_and(|there| there == bytes) {
        return Ok(true);
    }
    let (message, help) = (Phrase::new("kit-another"), Phrase::new("kit-own-folder"));
    let line = input::problem(path.display(), Code::OUTPUT_FAILED, message, help, words);
    writeln!(err, "{line}")?;
    Ok(false)
}

/// A table with comma-separated values. The ids were read from one and are no formulas.
fn table<'a, const N: usize>(
    head: &[&str; N],
    rows: impl Iterator<Item = [&'a String; N]>,
) -> io::Result<Vec<u8>> {
    let mut csv =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    csv.write_record(head)?;
    for row in rows {
        csv.write_record(row.map(String::as_bytes))?;
    }
    csv.into_inner().map_err(|e| io::Error::other(e.to_string()))
}
