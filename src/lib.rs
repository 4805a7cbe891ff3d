//! Spoolbench: a deterministic training bench for electrically controlled fluid power.
// Bracketed units such as [1] are not links.
#![allow(rustdoc::broken_intra_doc_links)]

pub mod base;
pub mod quantity;
pub mod language;
pub mod diagnostic;
pub mod kernel;
pub mod electric;
pub mod fluid;
pub mod shift;
pub mod plc;
pub mod plant;
pub mod bench;
pub mod fault;
pub mod session;
pub mod diagnosis;
pub mod scenario;
pub mod class;
pub mod grade;
pub mod drawing;
pub mod report;
pub mod cli;

#[doc = include_str!("../docs/guide.md")]
pub mod guide {}

#[doc = include_str!("../docs/symbols.md")]
pub mod symbols {}
