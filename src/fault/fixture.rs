//! Small plans for tests.
