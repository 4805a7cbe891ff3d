//! Scripts that decide faults, run in a sandbox: no clock, no files, no terminal, no way to hang.

use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::{AST, CallFnOptions, Engine, EvalAltResult, Position, Scope};

use crate::base::{SimTime, Stream};
use crate::plant::{Plant, What};

use super::roster::Roster;
use super::sandbox::{self, Limits};
use super::scene::{Bench, Complaint, Value};
use crate::base::nearest;
use crate::language::Phrase;

/// What kind of failure a [`ScriptFault`] is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ScriptFaultKind {
    /// It cannot be read.
    Syntax,
    /// It asked for something that cannot be done.
    Runtime,
    /// It wanted more than a script may have.
    Limit,
    /// It used what a script may not use.
    Forbidden,
}

/// A script that failed. A call that fails changes nothing; the script is not called again, and
/// the run may go on.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub struct ScriptFault {
    /// Name of the script.
    pub script: String,
    /// Line, from 1, if known.
    pub line: Option<usize>,
    /// Column, from 1, if known.
    pub column: Option<usize>,
    /// What is wrong.
    pub message: Phrase,
    /// What to do about it; boxed, since failures are handed up far.
    pub help: Box<Phrase>,
    /// Kind of failure.
    pub kind: ScriptFaultKind,
}

impl ScriptFault {
    /// What is wrong and where, as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let phrase = match (self.line, self.column) {
            (Some(line), Some(column)) => {
                Phrase::new("script-at").with("place", format!("{line}:{column}"))
            }
            (Some(line), None) => Phrase::new("script-at-line").with("line", line.to_string()),
            _ => Phrase::new("script-whole"),
        };
        phrase.with("script", self.script.as_str()).with("why", self.message.clone())
    }
}

/// A script, read and ready. Clones share it.
#[derive(Clone)]
pub struct Script(Arc<Compiled>);

struct Compiled {
    name: String,
    /// The sandbox of `setup`, and of all later calls.
    setup: Engine,
    later: Engine,
    ast: AST,
    source: String,
    /// Functions of one parameter, which can be called later.
    functions: Vec<String>,
}

impl std::fmt::Debug for Script {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Script({:?})", self.0.name)
    }
}

impl PartialEq for Script {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Script {
    /// Reads `source`.
    ///
    /// # Errors
    /// When it is too long, cannot be read, uses what is forbidden, or has no `setup(bench)`.
    pub fn new(name: &str, source: &str) -> Result<Self, ScriptFault> {
        let fault = |kind, position: Position, message: Phrase, help: Phrase| ScriptFault {
            script: name.to_owned(),
            line: position.line(),
            column: position.position(),
            message,
            help: Box::new(help),
            kind,
        };
        if source.len() > Limits::SOURCE {
            return Err(fault(
                ScriptFaultKind::Limit,
                Position::new(1, 1),
                Phrase::new("script-long").with("length", source.len()),
                Phrase::new("script-below").with("most", Limits::SOURCE),
            ));
        }
        let setup = sandbox::engine(Limits::SETUP_OPERATIONS);
        let ast = setup.compile(source).map_err(|error| {
            let (kind, message, help) = sandbox::parse_failure(error.err_type());
            fault(kind, error.position(), message, help)
        })?;
        let functions: Vec<String> = ast
            .iter_functions()
            .filter(|f| f.params.len() == 1)
            .map(|f| f.name.to_owned())
            .collect();
        if !functions.iter().any(|f| f == "setup") {
            return Err(fault(
                ScriptFaultKind::Syntax,
                Position::new(1, 1),
                Phrase::new("script-no-setup"),
                Phrase::new("script-write-setup"),
            ));
        }
        Ok(Script(Arc::new(Compiled {
            name: name.to_owned(),
            source: source.to_owned(),
            setup,
            later: sandbox::engine(Limits::OPERATIONS),
            ast,
            functions,
        })))
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.0.name
    }

    /// Checks that `name` is a function that can be called later.
    pub(super) fn check_function(&self, name: &str) -> Result<(), Complaint> {
        if self.0.functions.iter().any(|f| f == name) {
            return Ok(());
        }
        let help = match nearest(name, self.0.functions.iter().map(String::as_str)) {
            Some(near) => Phrase::new("did-you-mean-text").with("nearest", near),
            None => Phrase::new("script-write-function").with("function", name),
        };
        Err(Complaint::new(Phrase::new("script-no-function").with("function", name), help))
    }
}

/// A script in a run, with what it remembers.
#[derive(Clone, Debug)]
pub(super) struct Cast {
    script: Script,
    memory: Memory,
    failed: bool,
}

/// What a script keeps between calls.
#[derive(Clone, Debug)]
pub(super) struct Memory {
    pub stream: Stream,
    pub values: BTreeMap<String, Value>,
    pub waiting: Vec<(Vec<What>, String)>,
    pub scheduled: usize,
    pub requests: u32,
    pub notes: Vec<(SimTime, String)>,
    calls: u32,
}

impl Cast {
    pub fn new(script: Script, seed: u64) -> Self {
        let stream = Stream::new(seed, "", &format!("script {}", script.name()));
        Cast {
            script,
            memory: Memory {
                stream,
                values: BTreeMap::new(),
                waiting: Vec::new(),
                scheduled: 0,
                requests: 0,
                notes: Vec::new(),
                calls: 0,
            },
            failed: false,
        }
    }

    pub fn name(&self) -> &str {
        self.script.name()
    }

    pub fn notes(&self) -> impl Iterator<Item = (SimTime, &str)> {
        self.memory.notes.iter().map(|(at, text)| (*at, text.as_str()))
    }

    /// Says that a function has left the agenda.
    pub fn came_due(&mut self) {
        self.memory.scheduled = self.memory.scheduled.saturating_sub(1);
    }

    /// Functions that wait for `what`.
    pub fn waiting_for(&self, what: What) -> Vec<String> {
        self.memory
            .waiting
            .iter()
            .filter(|(happenings, _)| happenings.contains(&what))
            .map(|(_, function)| function.clone())
            .collect()
    }

    /// Calls `function` of the script, which is number `index` of the run.
    pub fn call(
        &mut self,
        plant: &mut Plant,
        roster: &mut Roster,
        index: usize,
        function: &str,
    ) -> Result<(), ScriptFault> {
        if self.failed {
            return Ok(());
        }
        let result = self.try_call(plant, roster, index, function);
        self.failed = result.is_err();
        result
    }

    fn try_call(
        &mut self,
        plant: &mut Plant,
        roster: &mut Roster,
        index: usize,
        function: &str,
    ) -> Result<(), ScriptFault> {
        let compiled = &self.script.0;
        if self.memory.calls >= Limits::CALLS {
            return Err(ScriptFault {
                script: compiled.name.clone(),
                line: None,
                column: None,
                message: Phrase::new("script-calls")
                    .with("function", function)
                    .with("number", (Limits::CALLS + 1).to_string()),
                help: Box::new(Phrase::new("script-rarer")),
                kind: ScriptFaultKind::Limit,
            });
        }
        self.memory.calls += 1;
        // The script works on copies, so that a call that fails changes nothing.
        let bench = Bench::new(
            plant.clone(),
            roster.clone(),
            self.memory.clone(),
            self.script.clone(),
            index,
        );
        let options = CallFnOptions::new().eval_ast(function == "setup");
        let engine = if function == "setup" { &compiled.setup } else { &compiled.later };
        let result = engine.call_fn_with_options::<rhai::Dynamic>(
            options,
            &mut Scope::new(),
            &compiled.ast,
            function,
            (bench.clone(),),
        );
        let scene = bench.close();
        match result {
            Ok(_) => {}
            Err(error) if matches!(*error, EvalAltResult::Exit(..)) => {}
            Err(error) => return Err(run_failure(compiled, function, &error)),
        }
        if let Some(scene) = scene {
            (*plant, *roster, self.memory) = (scene.plant, scene.roster, scene.memory);
        }
        Ok(())
    }
}

/// The innermost failure with a position.
fn run_failure(compiled: &Compiled, function: &str, error: &EvalAltResult) -> ScriptFault {
    let (mut inner, mut position) = (error, error.position());
    let mut function = function;
    while let EvalAltResult::ErrorInFunctionCall(name, _, next, _) = inner {
        (inner, function) = (next, name);
        if !inner.position().is_none() {
            position = inner.position();
        }
    }
    if position.is_none() {
        // An empty loop has no place of its own: point at the function.
        position = definition(&compiled.source, function);
    }
    let (kind, message, help) = sandbox::run_failure(inner);
    ScriptFault {
        script: compiled.name.clone(),
        line: position.line(),
        column: position.position(),
        message,
        help: Box::new(help),
        kind,
    }
}

/// Where `function` is defined, or the beginning.
fn definition(source: &str, function: &str) -> Position {
    for (k, line) in source.lines().enumerate() {
        for (at, _) in line.match_indices("fn ") {
            let rest = line[at + 3..].trim_start();
            if rest.strip_prefix(function).is_some_and(|after| after.trim_start().starts_with('('))
            {
                // The limit of the source is far below that of the numbers.
                let column = line[..at].chars().count() + 1;
                return Position::new(k as u16 + 1, column as u16);
            }
        }
    }
    Position::new(1, 1)
}
