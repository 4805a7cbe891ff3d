//! A grade book as CSV (RFC 4180): a row an attempt.
//!
//! Lines end in CR LF, decimals have a point, and no cell begins with a sign that a spreadsheet takes for
//! the beginning of a formula: an apostrophe stands before it.

use std::io;

use csv::{Terminator, Writer, WriterBuilder};

use super::record::Record;

/// The columns.
pub const COLUMNS: [&str; 16] = [
    "learner_id",
    "scenario_id",
    "scenario_sha256",
    "attempt",
    "started_utc",
    "duration_s",
    "gate",
    "score",
    "max",
    "diagnosis",
    "proved",
    "cost",
    "opt_cost",
    "uninformative",
    "unsafe",
    "engine",
];

/// The rows, gathered one by one.
#[derive(Debug)]
pub struct GradeBook {
    out: Writer<Vec<u8>>,
}

impl GradeBook {
    /// A book with its heading.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn new() -> io::Result<Self> {
        let mut out = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
        out.write_record(COLUMNS)?;
        Ok(GradeBook { out })
    }

    /// Adds a grade. What is not known stays empty.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn add(&mut self, record: &Record) -> io::Result<()> {
        let grade = &record.grade;
        let evidence = grade.evidence.as_ref();
        let row = [
            record.learner.clone(),
            record.scenario.clone(),
            grade.scenario_digest.clone(),
            record.attempt.clone(),
            grade.started.clone().unwrap_or_default(),
            format!("{:.3}", grade.bench_seconds),
            (if grade.gate { "pass" } else { "fail" }).to_owned(),
            format!("{:.1}", grade.marks),
            "100".to_owned(),
            grade.named.join("; "),
            evidence.map(|e| e.verdict.to_string()).unwrap_or_default(),
            // What the search cost in expectation: the best there is, and what was lost on top of it.
            evidence.map(|e| format!("{:.1}", e.optimum_s + e.regret_s)).unwrap_or_default(),
            evidence.map(|e| format!("{:.1}", e.optimum_s)).unwrap_or_default(),
            evidence.map(|e| e.idle_looks.to_string()).unwrap_or_default(),
            record.unsafe_acts().to_string(),
            format!("spoolbench {}", grade.engine),
        ];
        self.out.write_record(row.iter().map(|cell| harmless(cell)))?;
        Ok(())
    }

    /// The whole file.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn finish(self) -> io::Result<String> {
        let bytes = self.out.into_inner().map_err(|why| why.into_error())?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }
}

/// A cell that no spreadsheet takes for a formula.
fn harmless(cell: &str) -> String {
    // Also behind blanks, and in the full-width forms that some programs take for the same signs.
    let formula = |c: char| {
        matches!(c, '=' | '+' | '-' | '@' | '\u{ff1d}' | '\u{ff0b}' | '\u{ff0d}' | '\u{ff20}')
    };
    let blank = cell.starts_with(['\t', '\r', '\n']);
    if blank || cell.trim_start().starts_with(formula) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn no_cell_is_a_formula() {
        for cell in ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "\u{ff1d}1"] {
            assert_eq!(harmless(cell), format!("'{cell}"));
        }
        assert_eq!(harmless("K1 bypassed 21-22"), "K1 bypassed 21-22");
        assert_eq!(harmless(""), "");
    }
}
