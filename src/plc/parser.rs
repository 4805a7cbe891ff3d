//! Tokens to a checked program; everything that is wrong is collected.

use crate::base::nearest;
use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place, Span};
use crate::language::Phrase;

use super::lexer::{Slip, Token, split};
use super::program::{Block, Expr, Kind, Op, Program, Statement};
use super::{DEPTH_LIMIT, SLOT_LIMIT, TEXT_LIMIT, WORK_LIMIT};

/// Most problems reported of one program.
const PROBLEM_LIMIT: usize = 50;

/// The terminals of the controller that a program is written for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terminals {
    inputs: usize,
    outputs: usize,
    /// Name, true for an output, and number.
    bound: Vec<(String, bool, usize)>,
}

impl Terminals {
    /// `inputs` inputs and `outputs` outputs.
    #[must_use]
    pub fn new(inputs: usize, outputs: usize) -> Self {
        Terminals { inputs, outputs, bound: Vec::new() }
    }

    /// Gives a terminal a name of its own, as `"start = I0"`.
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn bind(&mut self, text: &str) -> Result<(), Phrase> {
        let form = || Phrase::new("plc-bind");
        let (name, terminal) = text.split_once('=').ok_or_else(form)?;
        let (name, terminal) = (name.trim().to_ascii_uppercase(), terminal.trim());
        let sound = !name.is_empty()
            && name.len() <= 64
            && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_')
            && !name.starts_with(|c: char| c.is_ascii_digit());
        if !sound || is_keyword(&name) {
            return Err(Phrase::new("plc-bad-name").with("written", name).with("form", form()));
        }
        let (output, number) = match (terminal.strip_prefix('I'), terminal.strip_prefix('Q')) {
            (Some(number), _) => (false, number),
            (_, Some(number)) => (true, number),
            _ => return Err(form()),
        };
        let count = if output { self.outputs } else { self.inputs };
        match number.parse::<usize>() {
            Ok(k) if k < count => {
                if self.bound.iter().any(|(n, o, at)| *n == name || (*o, *at) == (output, k)) {
                    return Err(Phrase::new("plc-bound-twice").with("terminal", terminal));
                }
                self.bound.push((name, output, k));
                Ok(())
            }
            _ => Err(Phrase::new("plc-no-terminal-named").with("terminal", terminal)),
        }
    }
}

const KEYWORDS: [&str; 16] = [
    "PROGRAM",
    "END_PROGRAM",
    "VAR",
    "END_VAR",
    "AT",
    "IF",
    "THEN",
    "ELSIF",
    "ELSE",
    "END_IF",
    "AND",
    "OR",
    "XOR",
    "NOT",
    "TRUE",
    "FALSE",
];

fn is_keyword(word: &str) -> bool {
    KEYWORDS.contains(&word)
        || matches!(word, "BOOL" | "INT" | "TIME" | "FOR" | "WHILE" | "REPEAT" | "CASE")
        || Block::of(word).is_some()
}

/// What a name stands for.
#[derive(Clone, Copy, Debug)]
enum Meaning {
    Value(Kind),
    Input,
    Block(Block),
}

struct Name {
    word: String,
    meaning: Meaning,
    slot: usize,
}

/// Compiles the program in `text`, called `file` in messages, for a controller with `terminals`.
/// Problems go to `out`; without any the program comes back.
pub fn compile(
    file: &str,
    text: &str,
    terminals: &Terminals,
    out: &mut Diagnostics,
) -> Option<Program> {
    let mut slips = Vec::new();
    let tokens = if text.len() > TEXT_LIMIT {
        out.push(
            Diagnostic::error(Code::PLC_LIMIT, Phrase::new("plc-long"))
                .at(Place::new(file, Span::new(0, 0)))
                .help(Phrase::new("plc-most-kib").with("most", TEXT_LIMIT / 1024)),
        );
        return None;
    } else {
        split(text, &mut slips)
    };
    let mut parser = Parser {
        tokens,
        at: 0,
        terminals,
        names: Vec::new(),
        program: Program { outputs: vec![None; terminals.outputs], ..Program::default() },
        problems: Vec::new(),
        work: 0,
        depth: 0,
        addresses: Vec::new(),
    };
    for Slip { span, message, help } in slips {
        parser.say(Code::PLC_SYNTAX, span, message, help);
    }
    parser.whole();
    let Parser { problems, mut program, names, .. } = parser;
    let sound = problems.is_empty();
    for (code, span, message, help) in problems {
        out.push(Diagnostic::error(code, message).at(Place::new(file, span)).help(help));
    }
    program.names = names
        .into_iter()
        .filter_map(|n| match n.meaning {
            Meaning::Value(kind) => Some((n.word, kind, n.slot)),
            Meaning::Input => Some((n.word, Kind::Bool, n.slot)),
            Meaning::Block(_) => None,
        })
        .collect();
    sound.then_some(program)
}

/// A problem was said; the caller finds its way back to solid ground.
struct Lost;

type Found<T> = Result<T, Lost>;

struct Parser<'a> {
    tokens: Vec<(Token, Span)>,
    at: usize,
    terminals: &'a Terminals,
    names: Vec<Name>,
    program: Program,
    problems: Vec<(Code, Span, Phrase, Phrase)>,
    work: usize,
    depth: usize,
    /// Terminals that have a slot: true for outputs, number, slot.
    addresses: Vec<(bool, usize, usize)>,
}

impl Parser<'_> {
    fn say(&mut self, code: Code, span: Span, message: Phrase, help: Phrase) {
        if self.problems.len() < PROBLEM_LIMIT {
            self.problems.push((code, span, message, help));
        }
    }

    fn lost<T>(&mut self, code: Code, span: Span, message: Phrase, help: Phrase) -> Found<T> {
        self.say(code, span, message, help);
        Err(Lost)
    }

    fn token(&self) -> &Token {
        self.tokens.get(self.at).map_or(&Token::End, |(t, _)| t)
    }

    fn span(&self) -> Span {
        self.tokens.get(self.at).or(self.tokens.last()).map_or(Span::new(0, 0), |(_, s)| *s)
    }

    fn step(&mut self) {
        if self.at + 1 < self.tokens.len() {
            self.at += 1;
        }
    }

    fn is_word(&self, word: &str) -> bool {
        matches!(self.token(), Token::Word(w) if w == word)
    }

    fn take_word(&mut self, word: &str) -> bool {
        let found = self.is_word(word);
        if found {
            self.step();
        }
        found
    }

    fn take(&mut self, sign: &str) -> bool {
        let found = matches!(self.token(), Token::Sign(s) if *s == sign);
        if found {
            self.step();
        }
        found
    }

    fn want(&mut self, sign: &str) -> Found<()> {
        if self.take(sign) {
            return Ok(());
        }
        let span = self.span();
        self.lost(
            Code::PLC_SYNTAX,
            span,
            Phrase::new("plc-wanted").with("wanted", format!("`{sign}`")),
            Phrase::new("plc-write").with("wanted", sign),
        )
    }

    fn want_word(&mut self, word: &str) -> Found<()> {
        if self.take_word(word) {
            return Ok(());
        }
        let span = self.span();
        self.lost(
            Code::PLC_SYNTAX,
            span,
            Phrase::new("plc-wanted").with("wanted", word),
            Phrase::new("plc-write").with("wanted", word),
        )
    }

    fn name(&mut self) -> Found<(String, Span)> {
        let span = self.span();
        match self.token() {
            Token::Word(word) if !is_keyword(word) => {
                let word = word.clone();
                self.step();
                Ok((word, span))
            }
            _ => self.lost(
                Code::PLC_SYNTAX,
                span,
                Phrase::new("plc-a-name"),
                Phrase::new("plc-write-name"),
            ),
        }
    }

    /// Skips past the next semicolon, or to a word that begins or ends something.
    fn recover(&mut self) {
        loop {
            match self.token() {
                Token::End => return,
                Token::Sign(";") => {
                    self.step();
                    return;
                }
                Token::Word(w)
                    if matches!(
                        w.as_str(),
                        "END_IF" | "END_PROGRAM" | "END_VAR" | "ELSE" | "ELSIF" | "VAR"
                    ) =>
                {
                    return;
                }
                _ => self.step(),
            }
        }
    }

    fn slots(&mut self, count: usize, span: Span) -> usize {
        let first = self.program.initial.len();
        if first + count > SLOT_LIMIT {
            self.say(Code::PLC_LIMIT, span, Phrase::new("plc-variables"), Phrase::new("plc-fewer"));
            return 0;
        }
        self.program.initial.resize(first + count, 0);
        first
    }

    /// Slot of a terminal; made at its first use.
    fn terminal(&mut self, output: bool, number: usize, span: Span) -> usize {
        if let Some((_, _, slot)) =
            self.addresses.iter().find(|(o, n, _)| (*o, *n) == (output, number))
        {
            return *slot;
        }
        let count = if output { self.terminals.outputs } else { self.terminals.inputs };
        if number >= count {
            self.say(
                Code::PLC_ADDRESS,
                span,
                Phrase::new("plc-no-terminal"),
                Phrase::new(if output { "plc-outputs" } else { "plc-inputs" }).with("count", count),
            );
            return 0;
        }
        let slot = self.slots(1, span);
        self.addresses.push((output, number, slot));
        if output {
            self.program.outputs[number] = Some(slot);
        } else {
            self.program.inputs.push((slot, number));
        }
        slot
    }

    fn whole(&mut self) {
        // Slot 0 stands in for what could not be found.
        self.program.initial.push(0);
        for (word, output, number) in self.terminals.bound.clone() {
            let slot = self.terminal(output, number, Span::new(0, 0));
            let meaning = if output { Meaning::Value(Kind::Bool) } else { Meaning::Input };
            self.names.push(Name { word, meaning, slot });
        }
        if self.want_word("PROGRAM").is_ok()
            && let Ok((name, _)) = self.name()
        {
            self.program.name = name;
        }
        while self.take_word("VAR") {
            while !matches!(self.token(), Token::End) && !self.is_word("END_VAR") {
                let before = self.at;
                if self.declaration().is_err() {
                    self.recover();
                }
                if self.at == before {
                    break;
                }
            }
            if self.want_word("END_VAR").is_err() {
                break;
            }
        }
        let statements = self.statements();
        self.program.statements = statements;
        if self.want_word("END_PROGRAM").is_ok() && !matches!(self.token(), Token::End) {
            let span = self.span();
            self.say(
                Code::PLC_SYNTAX,
                span,
                Phrase::new("plc-after-end"),
                Phrase::new("plc-remove"),
            );
        }
    }

    fn declaration(&mut self) -> Found<()> {
        let mut words = vec![self.name()?];
        while self.take(",") {
            words.push(self.name()?);
        }
        let mut place = None;
        if self.take_word("AT") {
            let span = self.span();
            let Token::Address(output, number) = *self.token() else {
                return self.lost(
                    Code::PLC_SYNTAX,
                    span,
                    Phrase::new("plc-address"),
                    Phrase::new("plc-such-address"),
                );
            };
            self.step();
            if words.len() > 1
                || self.addresses.iter().any(|(o, n, _)| (*o, *n) == (output, number))
            {
                self.say(
                    Code::PLC_ADDRESS,
                    span,
                    Phrase::new("plc-two-names"),
                    Phrase::new("plc-one-name"),
                );
            }
            place = Some((output, self.terminal(output, number, span)));
        }
        self.want(":")?;
        let span = self.span();
        let Token::Word(word) = self.token().clone() else {
            return self.lost(
                Code::PLC_SYNTAX,
                span,
                Phrase::new("plc-type"),
                Phrase::new("plc-types"),
            );
        };
        self.step();
        let kind = match word.as_str() {
            "BOOL" => Some(Kind::Bool),
            "INT" => Some(Kind::Int),
            "TIME" => Some(Kind::Time),
            _ => None,
        };
        let meaning = match (kind, Block::of(&word), place) {
            (Some(Kind::Bool), _, Some((false, _))) => Meaning::Input,
            (Some(kind), _, None) => Meaning::Value(kind),
            (Some(Kind::Bool), _, Some((true, _))) => Meaning::Value(Kind::Bool),
            (None, Some(block), None) => Meaning::Block(block),
            (Some(_), _, Some(_)) | (None, Some(_), Some(_)) => {
                return self.lost(
                    Code::PLC_TYPE,
                    span,
                    Phrase::new("plc-terminal-bool"),
                    Phrase::new("plc-declare-bool"),
                );
            }
            (None, None, _) => {
                return self.lost(
                    Code::PLC_NAME,
                    span,
                    Phrase::new("plc-no-type").with("name", word),
                    Phrase::new("plc-all-types"),
                );
            }
        };
        let mut start = 0;
        if self.take(":=") {
            let span = self.span();
            let (expr, given) = self.expression()?;
            match (expr, meaning) {
                (Expr::Const(value), Meaning::Value(kind)) if kind == given => start = value,
                _ => self.say(
                    Code::PLC_TYPE,
                    span,
                    Phrase::new("plc-start"),
                    Phrase::new("plc-constant"),
                ),
            }
        }
        self.want(";")?;
        for (word, span) in words {
            if self.names.iter().any(|n| n.word == word) {
                self.say(
                    Code::PLC_NAME,
                    span,
                    Phrase::new("plc-declared-twice").with("name", word),
                    Phrase::new("plc-own-name"),
                );
                continue;
            }
            let slot = match (place, meaning) {
                (Some((_, slot)), _) => slot,
                (None, Meaning::Block(block)) => self.slots(block.slots(), span),
                (None, _) => self.slots(1, span),
            };
            if !matches!(meaning, Meaning::Block(_)) {
                self.program.initial[slot] = start;
            }
            self.names.push(Name { word, meaning, slot });
        }
        Ok(())
    }

    fn statements(&mut self) -> Vec<Statement> {
        let mut list = Vec::new();
        loop {
            match self.token() {
                Token::End => return list,
                Token::Word(w)
                    if matches!(w.as_str(), "END_IF" | "END_PROGRAM" | "ELSE" | "ELSIF") =>
                {
                    // At the outermost level only the end of the program may stand here.
                    if self.depth > 0 || w == "END_PROGRAM" {
                        return list;
                    }
                    let (span, word) = (self.span(), w.clone());
                    self.say(
                        Code::PLC_SYNTAX,
                        span,
                        Phrase::new("plc-without-if").with("word", word),
                        Phrase::new("plc-remove"),
                    );
                    self.step();
                }
                Token::Sign(";") => self.step(),
                _ => {
                    let before = self.at;
                    match self.statement() {
                        Ok(statement) => list.push(statement),
                        Err(Lost) => self.recover(),
                    }
                    if self.at == before {
                        self.step();
                    }
                    if self.work > WORK_LIMIT {
                        let span = self.span();
                        if !self.problems.iter().any(|p| p.0 == Code::PLC_LIMIT) {
                            self.say(
                                Code::PLC_LIMIT,
                                span,
                                Phrase::new("plc-much"),
                                Phrase::new("plc-most-work").with("most", WORK_LIMIT),
                            );
                        }
                        self.at = self.tokens.len().saturating_sub(1);
                        return list;
                    }
                }
            }
        }
    }

    /// Goes one level deeper, if that is allowed.
    fn deeper(&mut self) -> Found<()> {
        if self.depth >= DEPTH_LIMIT {
            let span = self.span();
            return self.lost(
                Code::PLC_LIMIT,
                span,
                Phrase::new("plc-deep"),
                Phrase::new("plc-most-deep").with("most", DEPTH_LIMIT),
            );
        }
        self.depth += 1;
        Ok(())
    }

    fn statement(&mut self) -> Found<Statement> {
        self.work += 1;
        let span = self.span();
        if self.take_word("IF") {
            self.deeper()?;
            let found = self.branches();
            self.depth -= 1;
            return found;
        }
        if let Token::Address(output, number) = *self.token() {
            self.step();
            let slot = self.terminal(output, number, span);
            if !output {
                self.say(
                    Code::PLC_TYPE,
                    span,
                    Phrase::new("plc-input"),
                    Phrase::new("plc-assign-output"),
                );
            }
            return self.assignment(slot, Kind::Bool);
        }
        let (word, span) = match self.token() {
            Token::Word(w) if matches!(w.as_str(), "FOR" | "WHILE" | "REPEAT" | "CASE") => {
                let word = w.clone();
                return self.lost(
                    Code::PLC_SYNTAX,
                    span,
                    Phrase::new("plc-not-subset").with("word", word),
                    Phrase::new("plc-use-if"),
                );
            }
            _ => self.name()?,
        };
        let (meaning, slot) = self.look_up(&word, span)?;
        match meaning {
            Meaning::Block(block) if self.take("(") => self.call(block, slot),
            Meaning::Block(block) => {
                let (kind, slot, writable) = self.member(block, slot)?;
                if !writable {
                    self.say(
                        Code::PLC_TYPE,
                        span,
                        Phrase::new("plc-block-writes"),
                        Phrase::new("plc-assign-input"),
                    );
                }
                self.assignment(slot, kind)
            }
            Meaning::Input => {
                self.say(
                    Code::PLC_TYPE,
                    span,
                    Phrase::new("plc-input"),
                    Phrase::new("plc-assign-output"),
                );
                self.assignment(slot, Kind::Bool)
            }
            Meaning::Value(kind) => self.assignment(slot, kind),
        }
    }

    fn assignment(&mut self, slot: usize, kind: Kind) -> Found<Statement> {
        self.want(":=")?;
        let expr = self.typed(kind)?;
        self.want(";")?;
        Ok(Statement::Assign(slot, expr))
    }

    fn look_up(&mut self, word: &str, span: Span) -> Found<(Meaning, usize)> {
        if let Some(name) = self.names.iter().find(|n| n.word == word) {
            return Ok((name.meaning, name.slot));
        }
        let help = match nearest(word, self.names.iter().map(|n| n.word.as_str())) {
            Some(near) => Phrase::new("did-you-mean").with("nearest", near),
            None => Phrase::new("plc-declare"),
        };
        self.lost(Code::PLC_NAME, span, Phrase::new("plc-undeclared").with("name", word), help)
    }

    /// `.Q` of a block at `base`: type, slot, and whether it may be written.
    fn member(&mut self, block: Block, base: usize) -> Found<(Kind, usize, bool)> {
        self.want(".")?;
        let (word, span) = self.name()?;
        self.member_named(block, base, &word, span)
    }

    fn member_named(
        &mut self,
        block: Block,
        base: usize,
        word: &str,
        span: Span,
    ) -> Found<(Kind, usize, bool)> {
        let found = block.members().iter().position(|(name, _, _)| *name == word);
        match found {
            Some(k) => {
                let (_, kind, writable) = block.members()[k];
                Ok((kind, base + k, writable))
            }
            None => {
                let list: Vec<&str> = block.members().iter().map(|m| m.0).collect();
                self.lost(
                    Code::PLC_NAME,
                    span,
                    Phrase::new("plc-no-member").with("name", word),
                    Phrase::new("plc-members").with("list", list.join(", ")),
                )
            }
        }
    }

    fn call(&mut self, block: Block, base: usize) -> Found<Statement> {
        let (mut into, mut out) = (Vec::new(), Vec::new());
        while !self.take(")") {
            if !(into.is_empty() && out.is_empty()) {
                self.want(",")?;
            }
            let (word, span) = self.name()?;
            let (kind, slot, writable) = self.member_named(block, base, &word, span)?;
            self.work += 1;
            if writable {
                self.want(":=")?;
                into.push((slot, self.typed(kind)?));
            } else {
                self.want("=>")?;
                let (word, span) = self.name()?;
                match self.look_up(&word, span)? {
                    (Meaning::Value(to), target) if to == kind => out.push((slot, target)),
                    _ => self.say(
                        Code::PLC_TYPE,
                        span,
                        Phrase::new("plc-cannot-take").with("name", word).with("type", kind.word()),
                        Phrase::new("plc-same-type"),
                    ),
                }
            }
        }
        self.want(";")?;
        Ok(Statement::Call(block, base, into, out))
    }

    fn branches(&mut self) -> Found<Statement> {
        let mut arms = Vec::new();
        loop {
            let when = self.typed(Kind::Bool)?;
            self.want_word("THEN")?;
            arms.push((when, self.statements()));
            if !self.take_word("ELSIF") {
                break;
            }
            self.work += 1;
        }
        if self.take_word("ELSE") {
            arms.push((Expr::Const(1), self.statements()));
        }
        self.want_word("END_IF")?;
        self.want(";")?;
        Ok(Statement::If(arms))
    }

    fn typed(&mut self, wanted: Kind) -> Found<Expr> {
        let span = self.span();
        let (expr, kind) = self.expression()?;
        self.same(wanted, kind, span);
        Ok(expr)
    }

    fn same(&mut self, wanted: Kind, got: Kind, span: Span) {
        if wanted != got {
            self.say(
                Code::PLC_TYPE,
                span,
                Phrase::new("plc-other-type")
                    .with("wanted", wanted.word())
                    .with("found", got.word()),
                Phrase::new("plc-never-mixed"),
            );
        }
    }

    fn expression(&mut self) -> Found<(Expr, Kind)> {
        self.deeper()?;
        let found = self.level(0);
        self.depth -= 1;
        found
    }

    /// Operations by rising strength of binding.
    fn level(&mut self, strength: usize) -> Found<(Expr, Kind)> {
        if strength == 6 {
            return self.factor();
        }
        let (mut expr, mut kind) = self.level(strength + 1)?;
        loop {
            let span = self.span();
            let (op, swap) = match (strength, self.token()) {
                (0, Token::Word(w)) if w == "OR" => (Op::Or, false),
                (1, Token::Word(w)) if w == "XOR" => (Op::Xor, false),
                (2, Token::Word(w)) if w == "AND" => (Op::And, false),
                (2, Token::Sign("&")) => (Op::And, false),
                (3, Token::Sign("=")) => (Op::Equal, false),
                (3, Token::Sign("<>")) => (Op::Differ, false),
                (3, Token::Sign("<")) => (Op::Less, false),
                (3, Token::Sign(">")) => (Op::Less, true),
                (3, Token::Sign("<=")) => (Op::LessOrEqual, false),
                (3, Token::Sign(">=")) => (Op::LessOrEqual, true),
                (4, Token::Sign("+")) => (Op::Add, false),
                (4, Token::Sign("-")) => (Op::Subtract, false),
                (5, Token::Sign("*")) => (Op::Multiply, false),
                _ => return Ok((expr, kind)),
            };
            self.step();
            self.work += 1;
            // A long chain nests on its left side: its length counts as depth.
            if self.work > WORK_LIMIT {
                return self.lost(
                    Code::PLC_LIMIT,
                    span,
                    Phrase::new("plc-much"),
                    Phrase::new("plc-most-work").with("most", WORK_LIMIT),
                );
            }
            let place = self.span();
            let (right, right_kind) = self.level(strength + 1)?;
            match strength {
                0..=2 => {
                    self.same(Kind::Bool, kind, span);
                    self.same(Kind::Bool, right_kind, place);
                }
                _ => self.same(kind, right_kind, place),
            }
            if strength >= 4 && kind == Kind::Bool || strength == 5 && kind == Kind::Time {
                self.say(
                    Code::PLC_TYPE,
                    span,
                    Phrase::new("plc-reckon").with("type", kind.word()),
                    Phrase::new("plc-operators"),
                );
            }
            let both = if swap { (right, expr) } else { (expr, right) };
            expr = Expr::Two(op, kind, Box::new(both));
            if strength == 3 {
                kind = Kind::Bool;
            }
        }
    }

    fn factor(&mut self) -> Found<(Expr, Kind)> {
        self.work += 1;
        let span = self.span();
        if self.take_word("NOT") {
            self.deeper()?;
            let found = self.factor();
            self.depth -= 1;
            let (expr, kind) = found?;
            self.same(Kind::Bool, kind, span);
            return Ok((Expr::Not(Box::new(expr)), Kind::Bool));
        }
        if self.take("-") {
            self.deeper()?;
            let found = self.factor();
            self.depth -= 1;
            let (expr, kind) = found?;
            if kind == Kind::Bool {
                self.say(
                    Code::PLC_TYPE,
                    span,
                    Phrase::new("plc-bool-sign"),
                    Phrase::new("plc-use-not"),
                );
            }
            return Ok(match expr {
                Expr::Const(value) => (Expr::Const(-value), kind),
                other => (Expr::Minus(Box::new(other), kind), kind),
            });
        }
        if self.take("(") {
            let found = self.expression()?;
            self.want(")")?;
            return Ok(found);
        }
        let found = match self.token() {
            Token::Int(value) => Some((Expr::Const(*value), Kind::Int)),
            Token::Time(ns) => Some((Expr::Const(*ns), Kind::Time)),
            Token::Word(w) if w == "TRUE" => Some((Expr::Const(1), Kind::Bool)),
            Token::Word(w) if w == "FALSE" => Some((Expr::Const(0), Kind::Bool)),
            _ => None,
        };
        if let Some(found) = found {
            self.step();
            return Ok(found);
        }
        if let Token::Address(output, number) = *self.token() {
            self.step();
            return Ok((Expr::Slot(self.terminal(output, number, span)), Kind::Bool));
        }
        if !matches!(self.token(), Token::Word(_)) {
            return self.lost(
                Code::PLC_SYNTAX,
                span,
                Phrase::new("plc-value"),
                Phrase::new("plc-values"),
            );
        }
        let (word, span) = self.name()?;
        match self.look_up(&word, span)? {
            (Meaning::Value(kind), slot) => Ok((Expr::Slot(slot), kind)),
            (Meaning::Input, slot) => Ok((Expr::Slot(slot), Kind::Bool)),
            (Meaning::Block(block), base) => {
                let (kind, slot, _) = self.member(block, base)?;
                Ok((Expr::Slot(slot), kind))
            }
        }
    }
}

#[cfg(test)]
mod tests;
