//! What each fault mode does to the condition of a bench: the only place that does it.

use std::sync::Arc;

use crate::base::{FlowId, SimTime};
use crate::electric::Suppressor;
use crate::fluid::{FlowLaw, Gate, Medium, REFERENCE_DENSITY, SonicPath};
use crate::plant::{
    Condition, ContactFault, Delay, Drive, Element, Moves, Plan, Plant, Tie, Trigger,
};
use crate::shift::Hand;

use super::inject::Found;

/// What a mode does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Act {
    CoilOpen,
    ShortedTurns,
    WrongCoil,
    DiodeReversed,
    DiodeShorted,
    DiodeOpen,
    ContactClosed,
    ContactOpen,
    ContactOhm,
    Broken,
    SeriesOhm,
    ToEarth,
    FuseOpen,
    FuseOverrated,
    SupplyLow,
    StuckMade,
    StuckRest,
    TimerMisset,
    Detached,
    CamShift,
    PressureMisset,
    SpoolStuck,
    SpoolSilted,
    SpringBroken,
    SpringFactor,
    DetentWorn,
    OverrideA,
    OverrideB,
    PlugsSwapped,
    SpoolLeak,
    PathBlocked,
    ReliefFactor,
    ReliefOpen,
    Shut,
    CheckOpen,
    BypassShut,
    Narrowed,
    Widened,
    LeakMore,
    PumpWorn,
    MotorWorn,
    MeterSlips,
    MotorJammed,
    MotorLoad,
    DriveReversed,
    DriveSheared,
    DriveSlow,
    SealLeak,
    CushionGone,
    HoseBurst,
    Jammed,
    Friction,
    Overload,
    Precharge,
    BladderBurst,
    GasFlooded,
    SealStiff,
    PistonStuck,
    FreeAir,
    MainLow,
    WallLeak,
    RegulatorFactor,
    SlowStuck,
    JetWeak,
    PlcHalted,
    PlcSlow,
    PlcInputs,
    AmplifierDead,
    NullShift,
    ContactWelded,
    GainFactor,
    InputShort,
    OverloadFactor,
    PhaseLost,
    PresetFactor,
    PrimaryOpen,
    RampFactor,
    ReleaseFactor,
    SecondaryOpen,
    TapFactor,
    Transducer,
    TransducerSilent,
    TransducerShare,
    WaveLost,
    WavesLost,
}

/// Litre per minute [m3/s].
const L_MIN: f64 = 1e-3 / 60.0;
/// Unit of sonic conductance, dm3/(s bar) [m3/(s Pa)].
const DM3_S_BAR: f64 = 1e-8;
/// Pressures at which leakage is given [Pa]: oil, air.
const LEAK_OIL_PA: f64 = 100e5;
const LEAK_AIR_PA: f64 = 6e5;

/// Brings about `found`.
pub(super) fn apply(plant: &mut Plant, found: &Found) {
    let plan = Arc::clone(plant.plan());
    match (found.spec.act, found.element) {
        (Act::OverrideA, Element::Spool(id)) => plant.set_hand(id, Hand::A),
        (Act::OverrideB, Element::Spool(id)) => plant.set_hand(id, Hand::B),
        // Nothing drives a hand-operated head but the hand, so it is moved first and then held.
        (Act::StuckMade | Act::StuckRest, Element::Operator(id))
            if plan.operators[id.index()].tie == Tie::Hand =>
        {
            plant.set_operator(id, found.spec.act == Act::StuckMade);
        }
        _ => {}
    }
    plant.alter(found.part, |condition| change(&plan, condition, found));
}

/// The change of condition.
fn change(plan: &Plan, c: &mut Condition, found: &Found) {
    let (s, act) = (found.severity, found.spec.act);
    match found.element {
        Element::Winding(id) => {
            let k = id.index();
            let make = &mut c.windings[k];
            // Pull goes with ampere-turns, so a relay's thresholds in amperes go with 1 / turns.
            let mut turns = 1.0;
            match act {
                Act::CoilOpen => make.open = true,
                Act::ShortedTurns => {
                    turns = 1.0 - s;
                    make.sound_turns *= turns;
                }
                Act::WrongCoil => {
                    // The same copper volume wound for `s` times the voltage.
                    turns = s;
                    make.ohm_at_20 *= s * s;
                    make.open_henry *= s * s;
                    make.seated_henry *= s * s;
                }
                Act::DiodeReversed => {
                    for lies in &mut c.suppressors[k] {
                        if let Suppressor::Diode(_, reversed) = lies {
                            *reversed = true;
                        }
                    }
                }
                Act::DiodeShorted => {
                    for lies in &mut c.suppressors[k] {
                        if matches!(lies, Suppressor::Diode(..)) {
                            *lies = Suppressor::Resistor(s);
                        }
                    }
                }
                Act::DiodeOpen => {
                    c.suppressors[k].retain(|lies| !matches!(lies, Suppressor::Diode(..)));
                }
                _ => {}
            }
            if let Moves::Relay(operator) = plan.windings[k].moves
                && let Trigger::Armature { pick_a, drop_a, .. } =
                    &mut c.operators[operator.index()].trigger
            {
                *pick_a /= turns;
                *drop_a /= turns;
            }
            if let Moves::Relay(operator) | Moves::Unlatch(operator) = plan.windings[k].moves
                && let Trigger::Latch { set_a, reset_a, .. } =
                    &mut c.operators[operator.index()].trigger
            {
                let sets = matches!(plan.windings[k].moves, Moves::Relay(_));
                *(if sets { set_a } else { reset_a }) /= turns;
            }
        }
        Element::Contact(id) => {
            let make = &mut c.contacts[id.index()];
            match act {
                Act::ContactClosed => make.fault = ContactFault::AlwaysClosed,
                Act::ContactWelded => make.fault = ContactFault::Welded,
                Act::ContactOpen => make.fault = ContactFault::AlwaysOpen,
                Act::ContactOhm => make.ohm += s,
                _ => {}
            }
        }
        Element::Branch(id) => {
            let make = &mut c.branches[id.index()];
            match act {
                Act::Broken => make.ohm = f64::INFINITY,
                Act::SeriesOhm => make.ohm += s,
                Act::ToEarth => make.ohm = s,
                Act::SupplyLow => make.volts *= s,
                _ => {}
            }
        }
        Element::Fuse(id) => match act {
            Act::FuseOpen => {
                c.branches[plan.fuses[id.index()].branch.index()].ohm = f64::INFINITY;
            }
            Act::FuseOverrated | Act::ReleaseFactor => {
                let make = &mut c.fuses[id.index()];
                make.magnetic_a *= s;
                make.rated_a *= s;
                make.melting_a2s *= s * s;
            }
            _ => {}
        },
        Element::Operator(id) => operator(plan, c, id.index(), act, s),
        Element::Spool(id) => {
            let make = &mut c.spools[id.index()];
            match act {
                Act::SpoolStuck => make.stuck = true,
                Act::SpoolSilted => {
                    make.friction_n *= s;
                    make.viscous *= s;
                }
                Act::SpringFactor => make.preload_n *= s,
                Act::SpringBroken => {
                    make.preload_n *= s;
                    make.rate_n *= s;
                }
                Act::DetentWorn => make.detent_n *= s,
                Act::PlugsSwapped => {
                    let swapped = &mut c.plugs_swapped[id.index()];
                    *swapped = !*swapped;
                }
                Act::SpoolLeak => {
                    for (flow, _) in &plan.spools[id.index()].paths {
                        if let FlowLaw::Spool(_, opening) | FlowLaw::SonicSpool(_, opening) =
                            &mut c.flows[flow.index()]
                        {
                            for at in &mut opening.at {
                                *at = at.max(s);
                            }
                        }
                    }
                }
                _ => {}
            }
        }
        Element::Flow(id) => {
            let speed = match plan.flows[id.index()].drive {
                Drive::Pump(pump) | Drive::Stroked(pump, _) => {
                    plan.nominal.drives[pump.index()].per_second.abs()
                }
                _ => 0.0,
            };
            flow(&mut c.flows[id.index()], act, s, speed);
            if act == Act::RegulatorFactor {
                // The same screw sets the relief behind a regulator.
                for other in beside(plan, id) {
                    if let FlowLaw::Relief(relief) = &mut c.flows[other.index()] {
                        relief.crack_pa *= s;
                    }
                }
            }
        }
        Element::Pump(id) => {
            let drive = &mut c.drives[id.index()];
            match act {
                Act::DriveReversed => drive.per_second = -drive.per_second,
                Act::DriveSheared => drive.per_second = 0.0,
                Act::DriveSlow => drive.per_second *= s,
                _ => {}
            }
        }
        Element::Piston(id) => {
            let cap = plan.pistons[id.index()].cap.index();
            let conductance = match c.volumes[cap].medium {
                Medium::Oil { .. } => s * L_MIN / LEAK_OIL_PA,
                Medium::Air { .. } => s * L_MIN * REFERENCE_DENSITY / LEAK_AIR_PA,
            };
            let make = &mut c.pistons[id.index()];
            match act {
                Act::SealLeak => make.leak += conductance,
                Act::CushionGone => {
                    for cushion in &mut make.cushions {
                        cushion.viscous *= s;
                    }
                }
                Act::Jammed => make.jammed = true,
                Act::Friction => make.friction_n += s,
                Act::Overload => make.load.constant_n += s,
                _ => {}
            }
        }
        Element::Accumulator(id) => {
            let make = &mut c.accumulators[id.index()];
            match act {
                Act::Precharge => make.precharge_pa *= s,
                Act::BladderBurst => make.gas_m3 *= 1e-6,
                Act::GasFlooded => make.gas_m3 *= s,
                _ => {}
            }
            if let Some(seal) = &mut c.seals[id.index()] {
                match act {
                    Act::SealStiff => seal.friction_pa += s * 1e5,
                    Act::PistonStuck => seal.stuck = true,
                    _ => {}
                }
            }
        }
        Element::Amplifier(id) => {
            let make = &mut c.amplifiers[id.index()];
            match act {
                Act::AmplifierDead => make.dead = true,
                Act::NullShift => make.null += s,
                Act::Transducer => make.offset_m += s * 1e-3,
                Act::TransducerSilent => (make.shows, make.offset_m) = (0.0, 0.0),
                Act::TransducerShare => make.shows *= s,
                Act::RampFactor => make.ramp *= s,
                Act::GainFactor => make.gain *= s,
                _ => {}
            }
        }
        Element::Plc(id) => {
            let make = &mut c.plcs[id.index()];
            match act {
                Act::PlcHalted => make.halted = true,
                Act::PlcSlow => {
                    make.scan = SimTime::from_secs_f64_up(make.scan.as_secs_f64() * s);
                }
                Act::PlcInputs => {
                    make.on_v *= s;
                    make.off_v *= s;
                }
                _ => {}
            }
        }
        Element::Transformer(id) => {
            let make = &mut c.transformers[id.index()];
            match act {
                Act::PrimaryOpen => make.primary_ohm = f64::INFINITY,
                Act::SecondaryOpen => make.secondary_ohm = f64::INFINITY,
                Act::TapFactor => make.ratio *= s,
                _ => {}
            }
        }
        Element::Rectifier(id) => {
            let make = &mut c.rectifiers[id.index()];
            match act {
                Act::WaveLost => make.waves = 0.5,
                Act::WavesLost => make.waves = 0.0,
                Act::InputShort => {
                    make.waves = 0.5;
                    make.short_ohm = s;
                }
                _ => {}
            }
        }
        Element::Overload(id) => {
            let make = &mut c.overloads[id.index()];
            match act {
                Act::OverloadFactor => make.set_a *= s,
                Act::PhaseLost => make.phases = 3.0_f64.sqrt(),
                _ => {}
            }
        }
        Element::Volume(id) => {
            if act == Act::MainLow {
                c.held_pa[id.index()] *= s;
            }
            if let (Act::FreeAir, Medium::Oil { free_air, .. }) =
                (act, &mut c.volumes[id.index()].medium)
            {
                *free_air = free_air.max(s);
            }
        }
    }
}

/// The other flow paths of the part that `id` belongs to.
fn beside(plan: &Plan, id: FlowId) -> Vec<FlowId> {
    let mine = plan.parts.iter().find(|p| p.elements.iter().any(|(_, e)| *e == Element::Flow(id)));
    let all = mine.map_or(&[][..], |p| &p.elements).iter();
    all.filter_map(|(_, e)| match e {
        Element::Flow(other) if *other != id => Some(*other),
        _ => None,
    })
    .collect()
}

fn operator(plan: &Plan, c: &mut Condition, k: usize, act: Act, s: f64) {
    let make = &mut c.operators[k];
    match (act, &mut make.trigger) {
        (Act::StuckMade, _) => make.stuck = Some(true),
        (Act::StuckRest, _) => make.stuck = Some(false),
        (Act::Detached, _) => {
            for id in &plan.operators[k].contacts {
                c.contacts[id.index()].fault = if plan.contacts[id.index()].normally_closed {
                    ContactFault::AlwaysClosed
                } else {
                    ContactFault::AlwaysOpen
                };
            }
        }
        (
            Act::TimerMisset,
            Trigger::Armature { delay: Delay::On(t) | Delay::Off(t) | Delay::Flash(t), .. },
        ) => *t = SimTime::from_secs_f64_up(t.as_secs_f64() * s),
        (Act::PresetFactor, Trigger::Count { preset }) => {
            *preset = ((f64::from(*preset) * s).round() as u32).max(1);
        }
        (Act::CamShift, Trigger::Cam { from_m, to_m, .. }) => {
            *from_m += s * 1e-3;
            *to_m += s * 1e-3;
        }
        (Act::PressureMisset, Trigger::Pressure { rise_pa, fall_pa }) => {
            *rise_pa *= s;
            *fall_pa *= s;
        }
        _ => {}
    }
}

/// `speed` [1/s] is that of the pump, if it is one.
fn flow(law: &mut FlowLaw, act: Act, s: f64, speed: f64) {
    let law_before = *law;
    match (act, law) {
        (Act::Shut, law) => *law = FlowLaw::Shut,
        (Act::PathBlocked | Act::Narrowed | Act::Widened, law) => match law {
            FlowLaw::Gate(gate) | FlowLaw::Spool(gate, _) | FlowLaw::ThrottleCheck(gate, _) => {
                gate.gain *= s;
            }
            FlowLaw::Sonic(path)
            | FlowLaw::SonicSpool(path, _)
            | FlowLaw::SonicCheck(path, _)
            | FlowLaw::Regulator(path, _) => path.conductance *= s,
            FlowLaw::Ejector(make) => make.passage *= s,
            _ => {}
        },
        (Act::JetWeak, FlowLaw::Ejector(make)) => make.vacuum_pa *= s,
        (Act::WallLeak, FlowLaw::Sonic(path)) => path.conductance = s * DM3_S_BAR,
        (Act::RegulatorFactor, FlowLaw::Regulator(_, make)) => make.set_pa *= s,
        // No pressure is ever that of all of the first volume's and more.
        (Act::SlowStuck, FlowLaw::SlowStart(_, slow)) => slow.until = 10.0,
        (Act::ReliefFactor, FlowLaw::Relief(relief)) => relief.crack_pa *= s,
        (Act::ReliefOpen, FlowLaw::Relief(relief)) => relief.crack_pa = 0.0,
        (Act::CheckOpen, law) => match law_before {
            FlowLaw::Check(gate, _) => *law = FlowLaw::Gate(gate),
            FlowLaw::ThrottleCheck(throttle, check) => {
                *law = FlowLaw::Gate(Gate {
                    gain: throttle.gain + check.gain,
                    bend_pa: throttle.bend_pa,
                });
            }
            FlowLaw::SonicCheck(throttle, check) => {
                *law = FlowLaw::Sonic(SonicPath {
                    conductance: throttle.conductance + check.conductance,
                    ..check
                });
            }
            FlowLaw::SonicPoppet(path, _)
            | FlowLaw::Regulator(path, _)
            | FlowLaw::SlowStart(path, _) => *law = FlowLaw::Sonic(path),
            _ => {}
        },
        (Act::BypassShut, FlowLaw::ThrottleCheck(_, check)) => check.gain = 0.0,
        (Act::BypassShut, FlowLaw::SonicCheck(_, check)) => check.conductance = 0.0,
        (Act::HoseBurst, FlowLaw::Leak(conductance)) => *conductance = s * L_MIN / LEAK_OIL_PA,
        (Act::MotorWorn, FlowLaw::Motor(motor)) => motor.leak += s * L_MIN / LEAK_OIL_PA,
        (Act::MeterSlips, FlowLaw::Motor(motor)) => motor.slip(s),
        (Act::MotorJammed, FlowLaw::Motor(motor)) => motor.jammed = true,
        (Act::MotorLoad, FlowLaw::Motor(motor)) => motor.load_nm += s,
        (Act::LeakMore, FlowLaw::Leak(conductance)) => *conductance *= s,
        (Act::PumpWorn, FlowLaw::Pump(pump)) => {
            pump.leak += s * pump.displacement_m3 * speed / LEAK_OIL_PA;
        }
        _ => {}
    }
}

/// The entries of the condition that a mode of `element` may touch, each named by its element.
pub(super) fn touched(plan: &Plan, element: Element) -> Vec<Element> {
    let mut all = vec![element];
    match element {
        Element::Winding(id) => {
            if let Moves::Relay(operator) | Moves::Unlatch(operator) =
                plan.windings[id.index()].moves
            {
                all.push(Element::Operator(operator));
            }
        }
        Element::Operator(id) => {
            all.extend(plan.operators[id.index()].contacts.iter().map(|c| Element::Contact(*c)));
        }
        Element::Fuse(id) => all.push(Element::Branch(plan.fuses[id.index()].branch)),
        Element::Spool(id) => {
            all.extend(plan.spools[id.index()].paths.iter().map(|(f, _)| Element::Flow(*f)));
        }
        Element::Flow(id) if matches!(plan.nominal.flows[id.index()], FlowLaw::Regulator(..)) => {
            all.extend(beside(plan, id).into_iter().map(Element::Flow));
        }
        _ => {}
    }
    all
}

/// Puts one entry back as it is in `before`.
pub(super) fn restore(c: &mut Condition, before: &Condition, element: Element) {
    match element {
        Element::Branch(id) => c.branches[id.index()] = before.branches[id.index()],
        Element::Contact(id) => c.contacts[id.index()] = before.contacts[id.index()],
        Element::Winding(id) => {
            c.windings[id.index()] = before.windings[id.index()];
            c.suppressors[id.index()].clone_from(&before.suppressors[id.index()]);
        }
        Element::Operator(id) => c.operators[id.index()] = before.operators[id.index()],
        Element::Fuse(id) => c.fuses[id.index()] = before.fuses[id.index()],
        Element::Volume(id) => {
            c.volumes[id.index()] = before.volumes[id.index()];
            c.held_pa[id.index()] = before.held_pa[id.index()];
        }
        Element::Flow(id) => c.flows[id.index()] = before.flows[id.index()],
        Element::Spool(id) => {
            c.spools[id.index()] = before.spools[id.index()];
            c.plugs_swapped[id.index()] = before.plugs_swapped[id.index()];
        }
        Element::Piston(id) => c.pistons[id.index()].clone_from(&before.pistons[id.index()]),
        Element::Pump(id) => c.drives[id.index()] = before.drives[id.index()],
        Element::Plc(id) => c.plcs[id.index()] = before.plcs[id.index()],
        Element::Transformer(id) => {
            c.transformers[id.index()] = before.transformers[id.index()];
        }
        Element::Rectifier(id) => c.rectifiers[id.index()] = before.rectifiers[id.index()],
        Element::Overload(id) => c.overloads[id.index()] = before.overloads[id.index()],
        Element::Amplifier(id) => c.amplifiers[id.index()] = before.amplifiers[id.index()],
        Element::Accumulator(id) => {
            c.accumulators[id.index()] = before.accumulators[id.index()];
            c.seals[id.index()] = before.seals[id.index()];
        }
    }
}
