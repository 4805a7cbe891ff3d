//! The sandbox of scripts: what is in it, what is not, how much is too much, and how that is said.

use rhai::packages::{
    ArithmeticPackage, BasicArrayPackage, BasicIteratorPackage, BasicStringPackage, LogicPackage,
    Package,
};
use rhai::{Engine, EvalAltResult, LexError, OptimizationLevel, ParseErrorType};

use crate::base::ops;

use super::scene::{self, Complaint};
use super::script::ScriptFaultKind;

/// Kind, message and help of a failure.
pub(super) type Failure = (ScriptFaultKind, String, String);

/// How much a script may do. The same for all: a script that needs more is not a scenario.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits;

impl Limits {
    /// Length of the source [bytes].
    pub const SOURCE: usize = 32_768;
    /// Operations of `setup`.
    pub const SETUP_OPERATIONS: u64 = 20_000;
    /// Operations of any later call.
    pub const OPERATIONS: u64 = 2_000;
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
    pub const LIST: usize = 64;
    /// Entries of a map.
    pub const MAP: usize = 32;
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

/// The sandbox: nothing but what is put in here.
pub(super) fn engine(operations: u64) -> Engine {
    let mut engine = Engine::new_raw();
    engine
        .register_global_module(ArithmeticPackage::new().as_shared_module())
        .register_global_module(LogicPackage::new().as_shared_module())
        .register_global_module(BasicStringPackage::new().as_shared_module())
        .register_global_module(BasicArrayPackage::new().as_shared_module())
        .register_global_module(BasicIteratorPackage::new().as_shared_module());
    engine
        .set_optimization_level(OptimizationLevel::None)
        .set_max_operations(operations)
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
fn forbidden(word: &str) -> Option<Failure> {
    let help = FORBIDDEN
        .iter()
        .find(|(w, _)| *w == word)
        .map(|(_, why)| *why)
        .or_else(|| POWERS.contains(&word).then_some(POWER_HELP))?;
    Some((ScriptFaultKind::Forbidden, format!("a script may not use {word}"), help.to_owned()))
}

pub(super) fn parse_failure(error: &ParseErrorType) -> Failure {
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
        ParseErrorType::LiteralTooLarge(what, _) => {
            (ScriptFaultKind::Limit, format!("{what} is too large"), size_help())
        }
        ParseErrorType::BadInput(LexError::StringTooLong(_)) => {
            (ScriptFaultKind::Limit, "a text or name is too long".to_owned(), size_help())
        }
        other => {
            (ScriptFaultKind::Syntax, other.to_string(), "mend the script at this place".to_owned())
        }
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

/// What the failure of a call comes to.
pub(super) fn run_failure(inner: &EvalAltResult) -> Failure {
    match inner {
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
            "one call does too many operations".to_owned(),
            format!(
                "is there a loop without an end? setup has {} operations, a later call {}",
                Limits::SETUP_OPERATIONS,
                Limits::OPERATIONS
            ),
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
            match what {
                text if text.contains("string") => "a text grows too long".to_owned(),
                list if list.contains("array") => "a list grows too long".to_owned(),
                _ => "a map grows too large".to_owned(),
            },
            size_help(),
        ),
        EvalAltResult::ErrorParsing(error, _) => parse_failure(error),
        EvalAltResult::ErrorFunctionNotFound(signature, _) => {
            let name = signature.split(" (").next().unwrap_or(signature);
            forbidden(name).unwrap_or_else(|| {
                (
                    ScriptFaultKind::Runtime,
                    format!("there is no function {name} for these values"),
                    "look at its name, and at the number and kinds of its values".to_owned(),
                )
            })
        }
        other => {
            let mut plain = other.to_string();
            if let Some(at) = plain.rfind(" (line ") {
                plain.truncate(at);
            }
            (ScriptFaultKind::Runtime, plain, "mend the script at this place".to_owned())
        }
    }
}
