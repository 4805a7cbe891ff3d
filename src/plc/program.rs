//! A checked program and its memory: one scan is one walk over its statements.

use crate::base::SimTime;

/// Longest duration [ns]: 30 days.
pub(super) const LONGEST_NS: i64 = 30 * 86_400_000_000_000;

/// Type of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Bool,
    Int,
    Time,
}

impl Kind {
    pub fn word(self) -> &'static str {
        match self {
            Kind::Bool => "BOOL",
            Kind::Int => "INT",
            Kind::Time => "TIME",
        }
    }

    /// A value as it is kept: an INT wraps at 16 bits, a TIME stays within its limits.
    fn fit(self, value: i64) -> i64 {
        match self {
            Kind::Bool => i64::from(value != 0),
            Kind::Int => i64::from(value as i16),
            Kind::Time => value.clamp(-LONGEST_NS, LONGEST_NS),
        }
    }
}

/// A function block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Block {
    Ton,
    Tof,
    Tp,
    Sr,
    Rs,
    RTrig,
    FTrig,
    Ctu,
}

/// A member of a block: name, type, and whether the program may write it.
pub(super) type Member = (&'static str, Kind, bool);

impl Block {
    pub fn of(word: &str) -> Option<Block> {
        Some(match word {
            "TON" => Block::Ton,
            "TOF" => Block::Tof,
            "TP" => Block::Tp,
            "SR" => Block::Sr,
            "RS" => Block::Rs,
            "R_TRIG" => Block::RTrig,
            "F_TRIG" => Block::FTrig,
            "CTU" => Block::Ctu,
            _ => return None,
        })
    }

    /// Its members in the order of their slots; two more slots follow that nobody sees.
    pub fn members(self) -> &'static [Member] {
        match self {
            Block::Ton | Block::Tof | Block::Tp => &[
                ("IN", Kind::Bool, true),
                ("PT", Kind::Time, true),
                ("Q", Kind::Bool, false),
                ("ET", Kind::Time, false),
            ],
            Block::Sr => {
                &[("S1", Kind::Bool, true), ("R", Kind::Bool, true), ("Q1", Kind::Bool, false)]
            }
            Block::Rs => {
                &[("S", Kind::Bool, true), ("R1", Kind::Bool, true), ("Q1", Kind::Bool, false)]
            }
            Block::RTrig | Block::FTrig => &[("CLK", Kind::Bool, true), ("Q", Kind::Bool, false)],
            Block::Ctu => &[
                ("CU", Kind::Bool, true),
                ("R", Kind::Bool, true),
                ("PV", Kind::Int, true),
                ("Q", Kind::Bool, false),
                ("CV", Kind::Int, false),
            ],
        }
    }

    /// Slots it takes.
    pub fn slots(self) -> usize {
        self.members().len() + 2
    }

    /// Runs it on its slots `m` at `now` [ns].
    fn run(self, m: &mut [i64], now: i64) {
        match (self, m) {
            (Block::Ton, [input, preset, q, elapsed, start, was]) => {
                if *input == 0 {
                    (*q, *elapsed) = (0, 0);
                } else {
                    if *was == 0 {
                        *start = now;
                    }
                    *elapsed = (now - *start).min((*preset).max(0));
                    *q = i64::from(*elapsed >= *preset);
                }
                *was = *input;
            }
            (Block::Tof, [input, preset, q, elapsed, start, was]) => {
                if *input != 0 {
                    (*q, *elapsed) = (1, 0);
                } else {
                    if *was != 0 {
                        *start = now;
                    }
                    if *q != 0 {
                        *elapsed = (now - *start).min((*preset).max(0));
                        *q = i64::from(*elapsed < *preset);
                    }
                }
                *was = *input;
            }
            (Block::Tp, [input, preset, q, elapsed, start, was]) => {
                if *q != 0 {
                    *elapsed = (now - *start).min((*preset).max(0));
                    *q = i64::from(*elapsed < *preset);
                } else if *input != 0 && *was == 0 && *preset > 0 {
                    (*q, *elapsed, *start) = (1, 0, now);
                } else if *input == 0 {
                    *elapsed = 0;
                }
                *was = *input;
            }
            (Block::Sr, [set, reset, q, ..]) => {
                *q = i64::from(*set != 0 || (*reset == 0 && *q != 0))
            }
            (Block::Rs, [set, reset, q, ..]) => {
                *q = i64::from(*reset == 0 && (*set != 0 || *q != 0))
            }
            (Block::RTrig, [clock, q, was, ..]) => {
                *q = i64::from(*clock != 0 && *was == 0);
                *was = *clock;
            }
            (Block::FTrig, [clock, q, was, ..]) => {
                *q = i64::from(*clock == 0 && *was != 0);
                *was = *clock;
            }
            (Block::Ctu, [count, reset, preset, q, value, was, _]) => {
                if *reset != 0 {
                    *value = 0;
                } else if *count != 0 && *was == 0 && *value < i64::from(i16::MAX) {
                    *value += 1;
                }
                *was = *count;
                *q = i64::from(*value >= *preset);
            }
            _ => {}
        }
    }
}

/// A two-sided operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Op {
    And,
    Or,
    Xor,
    Equal,
    Differ,
    Less,
    LessOrEqual,
    Add,
    Subtract,
    Multiply,
}

/// An expression.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Expr {
    Const(i64),
    Slot(usize),
    Not(Box<Expr>),
    Minus(Box<Expr>, Kind),
    Two(Op, Kind, Box<(Expr, Expr)>),
}

impl Expr {
    fn value(&self, slots: &[i64]) -> i64 {
        match self {
            Expr::Const(value) => *value,
            Expr::Slot(slot) => slots[*slot],
            Expr::Not(inner) => i64::from(inner.value(slots) == 0),
            Expr::Minus(inner, kind) => kind.fit(-inner.value(slots)),
            Expr::Two(op, kind, both) => {
                let (a, b) = (both.0.value(slots), both.1.value(slots));
                match op {
                    Op::And => a & b,
                    Op::Or => a | b,
                    Op::Xor => a ^ b,
                    Op::Equal => i64::from(a == b),
                    Op::Differ => i64::from(a != b),
                    Op::Less => i64::from(a < b),
                    Op::LessOrEqual => i64::from(a <= b),
                    Op::Add => kind.fit(a + b),
                    Op::Subtract => kind.fit(a - b),
                    Op::Multiply => kind.fit(a.saturating_mul(b)),
                }
            }
        }
    }
}

/// A statement.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Statement {
    /// Slot and its new value.
    Assign(usize, Expr),
    /// A block at its first slot: what goes in, then what comes out.
    Call(Block, usize, Vec<(usize, Expr)>, Vec<(usize, usize)>),
    /// Conditions with what they guard; the last may be a plain `TRUE`.
    If(Vec<(Expr, Vec<Statement>)>),
}

/// A checked program. Immutable; its state is in a [`Memory`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Program {
    pub(super) name: String,
    pub(super) initial: Vec<i64>,
    /// Slot of each input terminal that the program names.
    pub(super) inputs: Vec<(usize, usize)>,
    /// Slot of each output terminal, if the program drives it.
    pub(super) outputs: Vec<Option<usize>>,
    pub(super) statements: Vec<Statement>,
    /// Names of plain variables and their slots, for looking in.
    pub(super) names: Vec<(String, Kind, usize)>,
}

/// All values of a running program. Cheap to clone.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Memory {
    slots: Vec<i64>,
}

impl Program {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The memory at power-up.
    #[must_use]
    pub fn memory(&self) -> Memory {
        Memory { slots: self.initial.clone() }
    }

    /// One scan at `now` with the input terminals `inputs`.
    pub fn scan(&self, memory: &mut Memory, now: SimTime, inputs: &[bool]) {
        for &(slot, terminal) in &self.inputs {
            memory.slots[slot] = i64::from(inputs.get(terminal).copied().unwrap_or(false));
        }
        let now = i64::try_from(now.as_nanos()).unwrap_or(i64::MAX);
        run(&self.statements, &mut memory.slots, now);
    }

    /// What the program wants of output terminal `terminal`.
    #[must_use]
    pub fn output(&self, memory: &Memory, terminal: usize) -> bool {
        self.outputs.get(terminal).copied().flatten().is_some_and(|slot| memory.slots[slot] != 0)
    }

    /// The value of a variable such as `count`: 0 or 1, a whole number, or nanoseconds.
    #[must_use]
    pub fn value(&self, memory: &Memory, name: &str) -> Option<i64> {
        let name = name.to_ascii_uppercase();
        self.names.iter().find(|(n, _, _)| *n == name).map(|(_, _, slot)| memory.slots[*slot])
    }
}

fn run(statements: &[Statement], slots: &mut [i64], now: i64) {
    for statement in statements {
        match statement {
            Statement::Assign(slot, expr) => slots[*slot] = expr.value(slots),
            Statement::Call(block, base, into, out) => {
                for (slot, expr) in into {
                    slots[*slot] = expr.value(slots);
                }
                block.run(&mut slots[*base..*base + block.slots()], now);
                for (from, to) in out {
                    slots[*to] = slots[*from];
                }
            }
            Statement::If(arms) => {
                if let Some((_, body)) = arms.iter().find(|(when, _)| when.value(slots) != 0) {
                    run(body, slots, now);
                }
            }
        }
    }
}
