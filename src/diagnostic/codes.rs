//! The one table of diagnostic codes. An id is never given to another meaning; what it means is said in
//! the catalogues, under `sb301-title`, `-means`, `-example` and `-mend`.
//!
//! Hundreds group the codes: 1 notation and structure, 2 quantities, 3 connections, 4 engineering,
//! 5 scenarios and rubrics, 6 scripts, 7 attempts, 8 arguments and probes, 9 the program itself.

use std::fmt;

use crate::language::{Phrase, Words};

/// One kind of problem, with a stable id such as `SB301`.
///
/// ```
/// use spoolbench::diagnostic::Code;
/// assert_eq!(Code::find("sb301"), Some(Code::UNKNOWN_TAG));
/// ```
#[derive(Clone, Copy)]
pub struct Code(&'static str);

macro_rules! codes {
    ($($name:ident $id:literal)*) => {
        impl Code {
            $(
                #[doc = concat!("`", $id, "`, as its name says.")]
                pub const $name: Code = Code($id);
            )*
        }

        /// Every code, by rising id.
        const ALL: &[Code] = &[$(Code::$name),*];
    };
}

codes! {
    UNREADABLE "SB101"
    TOO_LARGE "SB102"
    NOT_UTF8 "SB103"
    SYNTAX "SB104"
    UNKNOWN_FIELD "SB105"
    MISSING_FIELD "SB106"
    DUPLICATE_FIELD "SB107"
    DUPLICATE_TAG "SB108"
    WRONG_TYPE "SB109"
    TOO_DEEP "SB110"
    UNKNOWN_CLASS "SB111"
    TOO_MANY_VALUES "SB112"
    NOT_FINITE "SB113"
    BAD_TAG "SB114"
    EMPTY "SB115"
    TOO_MANY_PARTS "SB117"
    BAD_QUANTITY "SB201"
    WRONG_DIMENSION "SB202"
    OUT_OF_RANGE "SB203"
    UNKNOWN_CHOICE "SB204"
    BAD_SUPPLY "SB205"
    INCONSISTENT_VALUES "SB206"
    MISSING_UNIT "SB207"
    NOT_WHOLE "SB208"
    UNKNOWN_TAG "SB301"
    UNKNOWN_TERMINAL "SB302"
    UNKNOWN_PORT "SB303"
    WIRE_TO_NOWHERE "SB304"
    PORT_JOINED_TWICE "SB305"
    PORT_LEFT_OPEN "SB306"
    RUNG_SYNTAX "SB307"
    RUNG_WITHOUT_LOAD "SB308"
    FLOATING_NETWORK "SB309"
    MIXED_AC_DC "SB310"
    WRONG_KIND_OF_END "SB311"
    OIL_MEETS_AIR "SB312"
    COIL_VOLTAGE "SB401"
    WRONG_SUPPLY_KIND "SB402"
    LINT_INTERLOCK "SB411"
    LINT_OUTPUT "SB413"
    LINT_OVERRIDE "SB414"
    LINT_ACCUMULATOR "SB415"
    LINT_POWER_LOSS "SB416"
    LINT_SHIFT_LIMIT "SB417"
    LINT_LOAD_HELD "SB418"
    LINT_RELIEF "SB419"
    LINT_SEALS "SB420"
    LINT_FILTER "SB421"
    LINT_TEST_POINT "SB422"
    LINT_WIRE_FUSE "SB423"
    LINT_NO_FUSE "SB424"
    LINT_SHORT "SB425"
    LINT_STOP "SB426"
    LINT_ACCEPTED "SB427"
    LINT_INLET "SB428"
    LINT_PILOT "SB429"
    UNKNOWN_FAULT_MODE "SB501"
    UNKNOWN_PART "SB502"
    BENCH_NOT_FOUND "SB503"
    BAD_WEIGHTS "SB504"
    UNKNOWN_TOOL "SB506"
    NO_FAULT "SB507"
    UNREACHABLE_TASK "SB508"
    PATH_OUTSIDE "SB509"
    FAULT_OUT_OF_RANGE "SB510"
    DRILL_UNDECIDED "SB511"
    SCRIPT_SYNTAX "SB601"
    SCRIPT_RUN "SB602"
    SCRIPT_LIMIT "SB603"
    SCRIPT_FORBIDDEN "SB604"
    SCRIPT_NOT_FOUND "SB606"
    PLC_SYNTAX "SB611"
    PLC_NAME "SB612"
    PLC_TYPE "SB613"
    PLC_ADDRESS "SB614"
    PLC_LIMIT "SB615"
    PLC_NOT_FOUND "SB616"
    BAD_LINE "SB701"
    UNKNOWN_ACTION "SB702"
    TIME_ORDER "SB704"
    WRONG_FORMAT "SB705"
    JOURNAL_TOO_LONG "SB706"
    JOURNAL_NO_HEAD "SB707"
    ACTION_REFUSED "SB708"
    OTHER_SCENARIO "SB709"
    NO_RESULTS "SB710"
    OTHER_BATCH "SB711"
    BATCH_NOT_WHOLE "SB712"
    NO_VARIANTS "SB721"
    BAD_ROSTER "SB722"
    BAD_SECRET "SB723"
    BROKEN_KIT "SB724"
    SEALED_KIT "SB725"
    NOT_IN_CLASS "SB726"
    BAD_PROBE "SB802"
    OUTPUT_FAILED "SB803"
    UNKNOWN_CODE "SB804"
    BAD_TIME_SPAN "SB805"
    INTERNAL "SB901"
    SOLVER_FAILED "SB902"
    EVENT_STORM "SB903"
    RUN_LIMIT "SB904"
}

impl Code {
    /// Every code, by rising id.
    #[must_use]
    pub fn all() -> &'static [Code] {
        ALL
    }

    /// The code with this id, in upper or lower case.
    #[must_use]
    pub fn find(id: &str) -> Option<Code> {
        ALL.iter().copied().find(|code| code.id().eq_ignore_ascii_case(id))
    }

    /// The stable id: "SB301".
    #[must_use]
    pub fn id(self) -> &'static str {
        self.0
    }

    /// What is wrong, in a few words.
    #[must_use]
    pub fn title(self) -> Phrase {
        self.text("title")
    }

    /// What it means.
    #[must_use]
    pub fn means(self) -> Phrase {
        self.text("means")
    }

    /// A typical case.
    #[must_use]
    pub fn example(self) -> Phrase {
        self.text("example")
    }

    /// How to mend it.
    #[must_use]
    pub fn mend(self) -> Phrase {
        self.text("mend")
    }

    fn text(self, what: &str) -> Phrase {
        Phrase::new(format!("{}-{what}", self.0.to_ascii_lowercase()))
    }

    /// The whole entry as a few lines of text.
    #[must_use]
    pub fn explanation(self, words: Words) -> String {
        let example = Phrase::new("explain-example").with("example", self.example());
        let mend = Phrase::new("explain-mend").with("mend", self.mend());
        format!(
            "{}: {}\n\n{}\n\n{}\n\n{}\n",
            self.id(),
            words.phrase(&self.title()),
            words.phrase(&self.means()),
            words.phrase(&example),
            words.phrase(&mend)
        )
    }
}

impl PartialEq for Code {
    fn eq(&self, other: &Code) -> bool {
        self.id() == other.id()
    }
}

impl Eq for Code {}

impl PartialOrd for Code {
    fn partial_cmp(&self, other: &Code) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Code {
    fn cmp(&self, other: &Code) -> std::cmp::Ordering {
        self.id().cmp(other.id())
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

impl fmt::Debug for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

impl serde::Serialize for Code {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.id())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::Language;

    #[test]
    fn ids_rise_and_every_entry_is_filled() {
        for pair in Code::all().windows(2) {
            assert!(pair[0] < pair[1], "{} before {}", pair[0], pair[1]);
        }
        for code in Code::all() {
            let digits = code.id().strip_prefix("SB").unwrap();
            assert!(digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit()));
            assert_eq!(Code::find(code.id()), Some(*code));
            for words in Language::ALL.map(Words::of) {
                let texts = [code.title(), code.means(), code.example(), code.mend()];
                let missing = texts.iter().find(|text| !words.has(text.id()));
                assert!(missing.is_none(), "{words:?}: {missing:?}");
                let [title, means, example, mend] = texts.map(|text| words.phrase(&text));
                assert!(!title.is_empty() && !title.ends_with('.'), "{code}: {title}");
                assert!(means.ends_with('.') && mend.ends_with('.'), "{code}: {means} {mend}");
                assert!(!example.is_empty() && !example.ends_with('.'), "{code}: {example}");
            }
        }
        assert_eq!(Code::find("SB999"), None);
    }
}
