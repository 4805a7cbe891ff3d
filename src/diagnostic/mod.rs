//! What is wrong with a file and how to mend it.
