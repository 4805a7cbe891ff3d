//! How work is marked: criteria with weights, as data.

/// What a criterion looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Criterion {
    /// The machine was operated and observed before anything was touched, and a symptom written down.
    Symptom,
    /// Measurements before parts: no part was replaced that turned out sound.
    Method,
    /// The faulty part was named.
    Part,
    /// Its fault mode was named.
    Mode,
    /// The fault was removed and the machine tried afterwards.
    Repair,
    /// Nothing was left behind: overrides, locks, plugs, settings.
    HandBack,
    /// Bench time used, in bands.
    Efficiency,
}

impl Criterion {
    /// All, in the order of a grade.
    pub const ALL: [Criterion; 7] = [
        Criterion::Symptom,
        Criterion::Method,
        Criterion::Part,
        Criterion::Mode,
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
            Criterion::Method => "measured first; replaced no sound part",
            Criterion::Part => "named the faulty part",
            Criterion::Mode => "named what is wrong with it",
            Criterion::Repair => "removed the fault and tried the machine afterwards",
            Criterion::HandBack => "left nothing behind and handed the machine back",
            Criterion::Efficiency => "used little bench time",
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

/// Weights of the criteria, which add up to 100, and the pass mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Rubric {
    /// Version, stored with every grade.
    pub version: u64,
    /// Weight of each criterion, in the order of [`Criterion::ALL`].
    pub weights: [f64; 7],
    /// Marks needed to be competent, besides the safety gate and the diagnosis.
    pub pass: f64,
    /// Bands of the efficiency criterion, rising.
    pub bands: Vec<Band>,
}

impl Default for Rubric {
    fn default() -> Self {
        Rubric {
            version: 1,
            weights: [10.0, 20.0, 20.0, 15.0, 20.0, 5.0, 10.0],
            pass: 70.0,
            bands: vec![
                Band { seconds: 1200.0, share: 1.0 },
                Band { seconds: 1800.0, share: 0.6 },
                Band { seconds: 2700.0, share: 0.3 },
            ],
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
