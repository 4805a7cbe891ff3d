//! How work is marked: criteria with weights, as data.

/// What a criterion looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Criterion {
    /// The machine was operated and observed before anything was touched, and a symptom written down.
    Symptom,
    /// Tests that could tell something, and no part replaced that turned out sound.
    Method,
    /// The faulty part was named.
    Part,
    /// Its fault mode was named.
    Mode,
    /// What the learner saw proved the fault before it was mended or named.
    Evidence,
    /// The fault was removed and the machine tried afterwards.
    Repair,
    /// Nothing was left behind: overrides, locks, plugs, settings.
    HandBack,
    /// Time lost against the best next test at each step, in bands; bench time where the author
    /// gives bands for it.
    Efficiency,
}

impl Criterion {
    /// All, in the order of a grade.
    pub const ALL: [Criterion; 8] = [
        Criterion::Symptom,
        Criterion::Method,
        Criterion::Part,
        Criterion::Mode,
        Criterion::Evidence,
        Criterion::Repair,
        Criterion::HandBack,
        Criterion::Efficiency,
    ];

    /// Name in files and reports.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Criterion::Symptom => "symptom",
            Criterion::Method => "method",
            Criterion::Part => "part",
            Criterion::Mode => "mode",
            Criterion::Evidence => "evidence",
            Criterion::Repair => "repair",
            Criterion::HandBack => "hand_back",
            Criterion::Efficiency => "efficiency",
        }
    }

    /// What it asks, in one line.
    #[must_use]
    pub fn asks(self) -> &'static str {
        match self {
            Criterion::Symptom => "operated and looked before touching, and noted the symptom",
            Criterion::Method => "chose tests that could tell something; replaced no sound part",
            Criterion::Part => "named the faulty part",
            Criterion::Mode => "named what is wrong with it",
            Criterion::Evidence => "proved it by what was seen and measured, and wrote it down",
            Criterion::Repair => "removed the fault and tried the machine afterwards",
            Criterion::HandBack => "left nothing behind and handed the machine back",
            Criterion::Efficiency => "lost little time against the best next tests",
        }
    }

    /// The criterion named `name`.
    #[must_use]
    pub fn find(name: &str) -> Option<Criterion> {
        Criterion::ALL.into_iter().find(|c| c.name() == name)
    }
}

/// A band of bench time: up to `seconds` earns `share` of the efficiency marks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Upper end of the band [s].
    pub seconds: f64,
    /// Share of the marks [1].
    pub share: f64,
}

/// A band of time lost: up to `ratio` times what the whole search should take earns `share` of the
/// efficiency marks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LossBand {
    /// Upper end of the band [1].
    pub ratio: f64,
    /// Share of the marks [1].
    pub share: f64,
}

/// Weights of the criteria, which add up to 100, and the pass mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Rubric {
    /// Version, stored with every grade.
    pub version: u64,
    /// Weight of each criterion, in the order of [`Criterion::ALL`].
    pub weights: [f64; 8],
    /// Marks needed to be competent, besides the safety gate and the diagnosis.
    pub pass: f64,
    /// Bands of bench time, rising; none where time does not count.
    pub bands: Vec<Band>,
    /// Bands of time lost against the best next tests, rising.
    pub loss: Vec<LossBand>,
    /// Share of the evidence marks for a fault that was named rightly but not proved [1].
    pub lucky: f64,
    /// Share of the evidence marks for a wrong fault that the observations allow [1].
    pub consistent: f64,
    /// A critical act fails the attempt.
    pub gate: bool,
}

impl Default for Rubric {
    fn default() -> Self {
        Rubric {
            version: 2,
            weights: [10.0, 25.0, 15.0, 10.0, 15.0, 10.0, 5.0, 10.0],
            pass: 70.0,
            bands: Vec::new(),
            loss: vec![
                LossBand { ratio: 0.25, share: 1.0 },
                LossBand { ratio: 0.75, share: 0.6 },
                LossBand { ratio: 1.5, share: 0.3 },
            ],
            lucky: 0.4,
            consistent: 0.2,
            gate: true,
        }
    }
}

impl Rubric {
    /// Weight of `criterion`.
    #[must_use]
    pub fn weight(&self, criterion: Criterion) -> f64 {
        Criterion::ALL.iter().position(|c| *c == criterion).map_or(0.0, |k| self.weights[k])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn default_weights_add_up() {
        assert!((Rubric::default().weights.iter().sum::<f64>() - 100.0).abs() < 1e-9);
    }
}
