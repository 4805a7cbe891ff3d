//! Tests of the session, a module per subject.
