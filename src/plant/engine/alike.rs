//! What a run tells of itself to those that may go the same way.

use std::sync::Arc;

use super::Plant;
use crate::plant::kin::{Kinship, Note};

impl Plant {
    /// Notes from here on how the control side stands whenever that changes.
    pub(crate) fn note(&mut self) {
        self.notes = Some(Vec::new());
    }

    /// What was noted, if it was wanted; nothing more is.
    pub(crate) fn take_notes(&mut self) -> Vec<Note> {
        let notes = self.notes.take().unwrap_or_default();
        notes.into_iter().map(|status| Note::new(&self.plan, status)).collect()
    }

    pub(super) fn note_down(&mut self) {
        if let Some(notes) = &mut self.notes {
            notes.push(self.status.clone());
        }
    }

    /// In what `other`, which stands as this run does, is made otherwise; `None` where it stands
    /// otherwise, or differs in more than can be compared.
    pub(crate) fn kinship(&self, other: &Plant) -> Option<Kinship> {
        let bits = |y: &[f64]| y.iter().map(|y| y.to_bits()).collect::<Vec<_>>();
        let same = bits(&self.y) == bits(&other.y)
            && self.status == other.status
            && self.now == other.now
            && self.seed == other.seed;
        if same { Kinship::of(&self.plan, &self.actual, &other.actual) } else { None }
    }

    /// This run as it would be, had it been that of `other` and gone the same way.
    pub(crate) fn grafted(&self, other: &Plant) -> Plant {
        let mut own = self.clone();
        own.actual = Arc::clone(&other.actual);
        (own.stale, own.notes) = (true, None);
        own
    }
}
