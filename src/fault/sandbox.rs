//! The sandbox of scripts: what is in it, what is not, how much is too much, and how that is said.

use rhai::packages::{
    ArithmeticPackage, BasicArrayPackage, BasicIteratorPackage, BasicStringPackage, LogicPackage,
    Package,
};
use rhai::{Engine, EvalAltResult, LexError, OptimizationLevel, ParseErrorType};

use crate::base::ops;
use crate::language::Phrase;

use super::scene::{self, Complaint};
use super::script::ScriptFaultKind;

/// Kind, message and help of a failure.
pub(super) type Failure = (ScriptFaultKind, Phrase, Phrase);

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

/// What is taken out of the language, and the message that says why.
const FORBIDDEN: [(&str, &str); 16] = [
    ("eval", "script-no-scripts"),
    ("import", "script-alone"),
    ("export", "script-alone"),
    ("print", "script-note"),
    ("debug", "script-note"),
    ("sleep", "script-after"),
    ("timestamp", "script-time"),
    ("spawn", "script-one-thing"),
    ("thread", "script-one-thing"),
    ("go", "script-one-thing"),
    ("sync", "script-one-thing"),
    ("async", "script-one-thing"),
    ("await", "script-one-thing"),
    ("Fn", "script-by-name"),
    ("call", "script-by-name"),
    ("curry", "script-by-name"),
];
/// Its last bit depends on the machine.
const POWERS: [&str; 2] = ["**", "**="];
const POWER_HELP: &str = "script-pow";

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
    let message = Phrase::new("script-may-not").with("word", word);
    Some((ScriptFaultKind::Forbidden, message, Phrase::new(help)))
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
            Phrase::new("script-deep"),
            Phrase::new("script-most-deep").with("most", Limits::EXPRESSION_DEPTH),
        ),
        ParseErrorType::TooManyFunctions => (
            ScriptFaultKind::Limit,
            Phrase::new("script-functions"),
            Phrase::new("script-most").with("most", Limits::FUNCTIONS),
        ),
        ParseErrorType::LiteralTooLarge(what, _) => {
            let message = Phrase::new("script-thing-large").with("what", what.as_str());
            (ScriptFaultKind::Limit, message, size_help())
        }
        ParseErrorType::BadInput(LexError::StringTooLong(_)) => {
            (ScriptFaultKind::Limit, Phrase::new("script-text-long"), size_help())
        }
        other => {
            let message = Phrase::written(other.to_string());
            (ScriptFaultKind::Syntax, message, Phrase::new("script-mend"))
        }
    }
}

fn size_help() -> Phrase {
    Phrase::new("script-sizes")
        .with("text", Limits::TEXT)
        .with("list", Limits::LIST)
        .with("map", Limits::MAP)
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
                None => {
                    let why = Phrase::written(value.to_string());
                    let message = Phrase::new("script-gave-up").with("why", why);
                    (kind, message, Phrase::new("script-throw"))
                }
            }
        }
        EvalAltResult::ErrorTooManyOperations(_) => (
            ScriptFaultKind::Limit,
            Phrase::new("script-operations"),
            Phrase::new("script-loop")
                .with("setup", Limits::SETUP_OPERATIONS.to_string())
                .with("later", Limits::OPERATIONS.to_string()),
        ),
        EvalAltResult::ErrorStackOverflow(_) => (
            ScriptFaultKind::Limit,
            Phrase::new("script-calls-deep").with("most", Limits::CALL_LEVELS),
            Phrase::new("script-calls-itself"),
        ),
        EvalAltResult::ErrorTooManyVariables(_) => (
            ScriptFaultKind::Limit,
            Phrase::new("script-variables").with("most", Limits::VARIABLES),
            Phrase::new("script-use-list"),
        ),
        EvalAltResult::ErrorDataTooLarge(what, _) => (
            ScriptFaultKind::Limit,
            Phrase::new(match what {
                text if text.contains("string") => "script-text-grows",
                list if list.contains("array") => "script-list-grows",
                _ => "script-map-grows",
            }),
            size_help(),
        ),
        EvalAltResult::ErrorParsing(error, _) => parse_failure(error),
        EvalAltResult::ErrorFunctionNotFound(signature, _) => {
            let name = signature.split(" (").next().unwrap_or(signature);
            forbidden(name).unwrap_or_else(|| {
                (
                    ScriptFaultKind::Runtime,
                    Phrase::new("script-no-such-function").with("function", name),
                    Phrase::new("script-look-at-name"),
                )
            })
        }
        other => {
            let mut plain = other.to_string();
            if let Some(at) = plain.rfind(" (line ") {
                plain.truncate(at);
            }
            (ScriptFaultKind::Runtime, Phrase::written(plain), Phrase::new("script-mend"))
        }
    }
}
