//! Scripts that decide faults, run in a sandbox: no clock, no files, no terminal, no way to hang.

use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::packages::{
    ArithmeticPackage, BasicArrayPackage, BasicIteratorPackage, BasicStringPackage, LogicPackage,
    Package,
};
use rhai::{
    AST, CallFnOptions, Engine, EvalAltResult, LexError, OptimizationLevel, ParseErrorType,
    Position, Scope,
};

use crate::base::{SimTime, Stream, ops};
use crate::plant::{Plant, What};

use super::roster::Roster;
use super::scene::{self, Bench, Complaint, Value};
use super::stand_in::nearest;

/// How much a script may do. The same for all: a script that needs more is not a scenario.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits;

impl Limits {
    /// Length of the source [bytes].
    pub const SOURCE: usize = 32_768;
    /// Operations in one call.
    pub const OPERATIONS: u64 = 20_000;
    /// Depth of calls.
    pub const CALL_LEVELS: usize = 16;
    /// Depth of an expression.
    pub const EXPRESSION_DEPTH: usize = 32;
    /// Variables alive at once.
    pub const VARIABLES: usize = 64;
    /// Functions.
    pub const FUNCTIONS: usize = 64;
    /// Length of a text, and of all texts in a list [bytes].
    pub const TEXT: usize = 1_024;
    /// Elements of a list.
    pub const LIST: usize = 256;
    /// Entries of a map.
    pub const MAP: usize = 64;
    /// Calls of a script in a run.
    pub const CALLS: u32 = 1_000;
    /// Requests to the bench in a run.
    pub const REQUESTS: u32 = 20_000;
    /// Functions on the agenda or waiting for a happening.
    pub const WAITING: usize = 128;
    /// Faults in a run.
    pub const FAULTS: usize = 64;
    /// Notes, and values remembered, in a run.
    pub const NOTES: usize = 64;
}

/// What is taken out of the language, and why.
const FORBIDDEN: [(&str, &str); 16] = [
    ("eval", "a script cannot make scripts"),
    ("import", "a script stands alone"),
    ("export", "a script stands alone"),
    ("print", "use bench.note(text), which goes to the report"),
    ("debug", "use bench.note(text), which goes to the report"),
    ("sleep", "use bench.after(\"1 s\", \"function\")"),
    ("timestamp", "use bench.time(), which is bench time"),
    ("spawn", "a script does one thing at a time"),
    ("thread", "a script does one thing at a time"),
    ("go", "a script does one thing at a time"),
    ("sync", "a script does one thing at a time"),
    ("async", "a script does one thing at a time"),
    ("await", "a script does one thing at a time"),
    ("Fn", "call the function by its name"),
    ("call", "call the function by its name"),
    ("curry", "call the function by its name"),
];
/// Its last bit depends on the machine.
const POWERS: [&str; 2] = ["**", "**="];
const POWER_HELP: &str = "use pow(base, exponent)";

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
#[error("script {script}{}: {message}", place(*.line, *.column))]
pub struct ScriptFault {
    /// Name of the script.
    pub script: String,
    /// Line, from 1, if known.
    pub line: Option<usize>,
    /// Column, from 1, if known.
    pub column: Option<usize>,
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub help: String,
    /// Kind of failure.
    pub kind: ScriptFaultKind,
}

fn place(line: Option<usize>, column: Option<usize>) -> String {
    match (line, column) {
        (Some(line), Some(column)) => format!(" at {line}:{column}"),
        (Some(line), None) => format!(" at line {line}"),
        _ => String::new(),
    }
}

/// A script, read and ready. Clones share it.
#[derive(Clone)]
pub struct Script(Arc<Compiled>);

struct Compiled {
    name: String,
    engine: Engine,
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
        let fault = |kind, position: Position, message: String, help: String| ScriptFault {
            script: name.to_owned(),
            line: position.line(),
            column: position.position(),
            message,
            help,
            kind,
        };
        if source.len() > Limits::SOURCE {
            return Err(fault(
                ScriptFaultKind::Limit,
                Position::new(1, 1),
                format!("a script of {} bytes is too long", source.len()),
                format!("keep below {} bytes", Limits::SOURCE),
            ));
        }
        let engine = engine();
        let ast = engine.compile(source).map_err(|error| {
            let (kind, message, help) = parse_failure(error.err_type());
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
                "the script has no setup".to_owned(),
                "write fn setup(bench) { ... }, which is called once before the run".to_owned(),
            ));
        }
        Ok(Script(Arc::new(Compiled {
            name: name.to_owned(),
            source: source.to_owned(),
            engine,
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
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("write fn {name}(bench) {{ ... }}"),
        };
        Err(Complaint::new(
            format!("the script has no function {name}(bench)"),
            help,
        ))
    }
}

/// The sandbox: nothing but what is put in here.
fn engine() -> Engine {
    let mut engine = Engine::new_raw();
    engine
        .register_global_module(ArithmeticPackage::new().as_shared_module())
        .register_global_module(LogicPackage::new().as_shared_module())
        .register_global_module(BasicStringPackage::new().as_shared_module())
        .register_global_module(BasicArrayPackage::new().as_shared_module())
        .register_global_module(BasicIteratorPackage::new().as_shared_module());
    engine
        .set_optimization_level(OptimizationLevel::None)
        .set_max_operations(Limits::OPERATIONS)
        .set_max_call_levels(Limits::CALL_LEVELS)
        .set_max_expr_depths(Limits::EXPRESSION_DEPTH, Limits::EXPRESSION_DEPTH)
        .set_max_variables(Limits::VARIABLES)
        .set_max_functions(Limits::FUNCTIONS)
        .set_max_string_size(Limits::TEXT)
        .set_max_array_size(Limits::LIST)
        .set_max_map_size(Limits::MAP)
        .set_allow_anonymous_fn(false)
        .set_strict_variables(true)
        .set_fail_on_invalid_map_property(true)
        .on_print(|_| {})
        .on_debug(|_, _, _| {});
    for (word, _) in FORBIDDEN {
        engine.disable_symbol(word);
    }
    for symbol in POWERS {
        engine.disable_symbol(symbol);
    }
    // The built-in ones may differ in the last bit between machines.
    engine.register_fn("pow", ops::pow);
    engine.register_fn("pow", |x: f64, n: i64| ops::pow(x, n as f64));
    engine.register_fn("pow", |x: i64, n: i64| ops::pow(x as f64, n as f64));
    engine.register_fn("exp", ops::exp);
    engine.register_fn("ln", ops::ln);
    engine.register_fn("sin", ops::sin);
    engine.register_fn("cos", ops::cos);
    engine.register_fn("sqrt", |x: f64| x.sqrt());
    engine.register_fn("floor", |x: f64| x.floor());
    engine.register_fn("ceiling", |x: f64| x.ceil());
    engine.register_fn("round", |x: f64| x.round());
    engine.register_fn("to_int", |x: f64| x as i64);
    engine.register_fn("to_float", |x: i64| x as f64);
    scene::register(&mut engine);
    engine
}

/// The failure of a script that uses `word`, if that is forbidden.
fn forbidden(word: &str) -> Option<(ScriptFaultKind, String, String)> {
    let help = FORBIDDEN
        .iter()
        .find(|(w, _)| *w == word)
        .map(|(_, why)| *why)
        .or_else(|| POWERS.contains(&word).then_some(POWER_HELP))?;
    Some((
        ScriptFaultKind::Forbidden,
        format!("a script may not use {word}"),
        help.to_owned(),
    ))
}

fn parse_failure(error: &ParseErrorType) -> (ScriptFaultKind, String, String) {
    if let ParseErrorType::Reserved(word)
    | ParseErrorType::BadInput(LexError::ImproperSymbol(word, _))
    | ParseErrorType::UnknownOperator(word) = error
        && let Some(failure) = forbidden(word)
    {
        return failure;
    }
    match error {
        ParseErrorType::ExprTooDeep => (
            ScriptFaultKind::Limit,
            "the expression or block is nested too deep".to_owned(),
            format!("at most {} deep", Limits::EXPRESSION_DEPTH),
        ),
        ParseErrorType::TooManyFunctions => (
            ScriptFaultKind::Limit,
            "the script has too many functions".to_owned(),
            format!("at most {}", Limits::FUNCTIONS),
        ),
        ParseErrorType::LiteralTooLarge(what, _) => (
            ScriptFaultKind::Limit,
            format!("{what} is too large"),
            size_help(),
        ),
        ParseErrorType::BadInput(LexError::StringTooLong(_)) => (
            ScriptFaultKind::Limit,
            "a text or name is too long".to_owned(),
            size_help(),
        ),
        other => (
            ScriptFaultKind::Syntax,
            other.to_string(),
            "mend the script at this place".to_owned(),
        ),
    }
}

fn size_help() -> String {
    format!(
        "texts are at most {} bytes, lists {} elements, maps {} entries",
        Limits::TEXT,
        Limits::LIST,
        Limits::MAP
    )
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
        self.memory
            .notes
            .iter()
            .map(|(at, text)| (*at, text.as_str()))
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
                message: format!("{function} would be call number {}", Limits::CALLS + 1),
                help: "let it wait for something rarer".to_owned(),
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
        let result = compiled.engine.call_fn_with_options::<rhai::Dynamic>(
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
    let (kind, message, help) = match inner {
        EvalAltResult::ErrorRuntime(value, _) | EvalAltResult::ErrorTerminated(value, _) => {
            let kind = match inner {
                EvalAltResult::ErrorTerminated(..) => ScriptFaultKind::Limit,
                _ => ScriptFaultKind::Runtime,
            };
            match value.clone().try_cast::<Complaint>() {
                Some(c) => (kind, c.message, c.help),
                None => (
                    kind,
                    format!("the script gave up: {value}"),
                    "see where it says throw".to_owned(),
                ),
            }
        }
        EvalAltResult::ErrorTooManyOperations(_) => (
            ScriptFaultKind::Limit,
            format!("one call does more than {} operations", Limits::OPERATIONS),
            "is there a loop without an end?".to_owned(),
        ),
        EvalAltResult::ErrorStackOverflow(_) => (
            ScriptFaultKind::Limit,
            format!("calls are more than {} deep", Limits::CALL_LEVELS),
            "does a function call itself?".to_owned(),
        ),
        EvalAltResult::ErrorTooManyVariables(_) => (
            ScriptFaultKind::Limit,
            format!("more than {} variables", Limits::VARIABLES),
            "use a list".to_owned(),
        ),
        EvalAltResult::ErrorDataTooLarge(what, _) => (
            ScriptFaultKind::Limit,
            format!("{what} too large"),
            size_help(),
        ),
        EvalAltResult::ErrorParsing(error, _) => parse_failure(error),
        EvalAltResult::ErrorFunctionNotFound(signature, _) => {
            let name = signature.split(" (").next().unwrap_or(signature);
            forbidden(name).unwrap_or_else(|| {
                (
                    ScriptFaultKind::Runtime,
                    format!("there is no function {signature}"),
                    "look at its name and at the kinds of its values".to_owned(),
                )
            })
        }
        other => {
            let mut plain = other.to_string();
            if let Some(at) = plain.rfind(" (line ") {
                plain.truncate(at);
            }
            (
                ScriptFaultKind::Runtime,
                plain,
                "mend the script at this place".to_owned(),
            )
        }
    };
    ScriptFault {
        script: compiled.name.clone(),
        line: position.line(),
        column: position.position(),
        message,
        help,
        kind,
    }
}

/// Where `function` is defined, or the beginning.
fn definition(source: &str, function: &str) -> Position {
    for (k, line) in source.lines().enumerate() {
        for (at, _) in line.match_indices("fn ") {
            let rest = line[at + 3..].trim_start();
            if rest
                .strip_prefix(function)
                .is_some_and(|after| after.trim_start().starts_with('('))
            {
                // The limit of the source is far below that of the numbers.
                let column = line[..at].chars().count() + 1;
                return Position::new(k as u16 + 1, column as u16);
            }
        }
    }
    Position::new(1, 1)
}
