//! Pressures, strokes and stored oil against closed forms and independent solutions.

use std::f64::consts::PI;
use std::sync::Arc;

use spoolbench::base::SimTime;
use spoolbench::fluid::{
    Accumulator, FlowLaw, Gate, Load, Medium, Piston, Pump, Relief, Volume, orifice_gain,
};
use spoolbench::plant::{Drive, DriveMake, PlanBuilder, Plant, Probe, Tie, Trigger};

const STIFF: Medium = Medium::Oil { bulk_pa: 1.4e9, free_air: 0.0 };

fn volume(litres: f64) -> Volume {
    Volume { still_m3: litres * 1e-3, medium: STIFF }
}

fn at(plant: &mut Plant, seconds: f64) {
    plant.advance(SimTime::from_secs_f64_up(seconds), false).expect("advance");
}

fn area(d: f64) -> f64 {
    PI / 4.0 * d * d
}

/// A 50/28 mm cylinder on a 12 L/min pump: v = Q/A, 0.101859 m/s out; and with the rod end blocked
/// at 100 bar, p2 = p1 A1 / A2 = 145.688 bar (force balance).
#[test]
fn cylinder_speed_and_intensification() {
    for blocked in [false, true] {
        let mut b = PlanBuilder::new("test", 20.0);
        b.part("Q", "hand", "");
        let run = b.operator("handle", Tie::Hand, Trigger::Hand, true);
        b.part("P1", "pump", "");
        let tank = b.volume("T", volume(10.0), Some(0.0));
        let cap = b.volume("A", volume(0.05), None);
        let rod = b.volume("B", volume(0.05), None);
        let pump = b.pump(
            FlowLaw::Pump(Pump { displacement_m3: 8e-6, leak: 0.0 }),
            tank,
            cap,
            DriveMake { per_second: 25.0, lag_s: 0.01 },
            vec![run],
        );
        let _ = pump;
        b.flow("relief", cap, tank, FlowLaw::Relief(Relief::rated(99e5, 100e5, 2e-4)), Drive::None);
        if !blocked {
            b.flow("return", rod, tank, FlowLaw::Gate(Gate::rated(1.0, 1e5)), Drive::None);
        }
        b.part("1A1", "cylinder", "");
        let piston = b.piston(
            Piston {
                cap_m2: area(0.05),
                rod_m2: area(0.05) - area(0.028),
                stroke_m: 0.4,
                friction_n: 0.0,
                viscous: 1.0,
                leak: 0.0,
                load: Load::default(),
                jammed: false,
                propped: false,
            },
            cap,
            rod,
            0.0,
        );
        let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
        if blocked {
            at(&mut plant, 5.0);
            let (p1, p2) = (plant.read(Probe::Pressure(cap)), plant.read(Probe::Pressure(rod)));
            assert!((p1 / 100e5 - 1.0).abs() < 1e-3, "{p1}");
            assert!((p2 / p1 / 1.456_876 - 1.0).abs() < 1e-3, "{p2}");
        } else {
            at(&mut plant, 1.0);
            let v = plant.read(Probe::PistonSpeed(piston));
            assert!((v / 0.101_859 - 1.0).abs() < 1e-3, "{v}");
            at(&mut plant, 10.0);
            let p1 = plant.read(Probe::Pressure(cap));
            assert!((p1 / 100e5 - 1.0).abs() < 1e-3, "full flow over the relief: {p1}");
        }
    }
}

/// Accumulator 4 L, precharge 50 bar, charged by 12 L/min to a relief of 120 bar, blocked, dumped
/// through a 2 mm orifice (Cd 0.62, 870 kg/m3): independent solution with scipy's stiff solver.
#[test]
fn accumulator_charges_holds_and_dumps() {
    for (exponent, charge_s, p5_bar, dump_s) in
        [(1.0, 11.5690, 67.004, 9.2496), (1.4, 9.2089, 75.300, 7.2996)]
    {
        let mut b = PlanBuilder::new("test", 20.0);
        b.part("Q", "hand", "");
        let run = b.operator("handle", Tie::Hand, Trigger::Hand, true);
        b.part("P1", "pump", "");
        let tank = b.volume("T", volume(10.0), Some(0.0));
        let line = b.volume("P", volume(0.001), None);
        b.pump(
            FlowLaw::Pump(Pump { displacement_m3: 8e-6, leak: 0.0 }),
            tank,
            line,
            DriveMake { per_second: 25.0, lag_s: 1e-4 },
            vec![run],
        );
        b.part("RV1", "relief", "");
        b.flow(
            "relief",
            line,
            tank,
            FlowLaw::Relief(Relief { crack_pa: 120e5, slope: 2e-4 / 1e3 }),
            Drive::None,
        );
        let dump = b.part("D1", "dump", "");
        let path = b.flow("dump", line, tank, FlowLaw::Shut, Drive::None);
        b.part("AC1", "accumulator", "");
        b.accumulator(Accumulator { gas_m3: 4e-3, precharge_pa: 50e5, exponent }, line);
        let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
        let bar = |plant: &mut Plant| plant.read(Probe::Pressure(line)) / 1e5;
        at(&mut plant, 5.0);
        let p = bar(&mut plant);
        assert!((p / p5_bar - 1.0).abs() < 1e-3, "n {exponent}: {p} bar at 5 s");
        at(&mut plant, charge_s * 0.999);
        let p = bar(&mut plant);
        assert!(p < 119.99 && p > 119.5, "n {exponent}: {p} bar just before full");
        plant.set_operator(run, false);
        at(&mut plant, 30.0);
        let p = bar(&mut plant);
        assert!((p / 120.0 - 1.0).abs() < 2e-3, "n {exponent}: {p} bar held");
        let gain = orifice_gain(0.62, area(2e-3), 870.0);
        plant.alter(dump, |c| {
            c.flows[path.index()] = FlowLaw::Gate(Gate { gain, bend_pa: 54.0 });
        });
        at(&mut plant, 30.0 + dump_s * 0.98);
        assert!(bar(&mut plant) > 49.0);
        at(&mut plant, 30.0 + dump_s * 1.005);
        let p = bar(&mut plant);
        assert!(p < 5.0, "n {exponent}: {p} bar after the bladder has filled the shell");
    }
}
