//! Air through sonic paths, into and out of volumes and onto pistons.

use std::f64::consts::PI;
use std::sync::Arc;

use spoolbench::base::{FlowId, PartId, SimTime, VolumeId};
use spoolbench::fluid::{ATMOSPHERE_PA, FlowLaw, Load, Medium, Piston, SonicPath, Volume};
use spoolbench::plant::{Drive, PlanBuilder, Plant, Probe};

/// 4 dm3/(s bar) and b = 0.3.
const PATH: SonicPath = SonicPath { conductance: 4e-3 / 1e5, critical_ratio: 0.3 };
/// Cylinder chamber of 63 x 150 mm [m3].
const CHAMBER_M3: f64 = 0.467_587e-3;

fn air(m3: f64) -> Volume {
    Volume { still_m3: m3, medium: Medium::AIR }
}

fn gauge(bar_abs: f64) -> f64 {
    bar_abs * 1e5 - ATMOSPHERE_PA
}

/// Mass flow [kg/s] through `path` between two pressures [bar abs].
fn through(path: SonicPath, up: f64, down: f64) -> f64 {
    let mut b = PlanBuilder::new("test", 20.0);
    b.part("V1", "valve", "");
    let first = b.volume("1", air(1e-3), Some(gauge(up)));
    let second = b.volume("2", air(1e-3), Some(gauge(down)));
    let flow = b.flow("1-2", first, second, FlowLaw::Sonic(path), Drive::None);
    Plant::nominal(Arc::new(b.finish().expect("plan"))).read(Probe::Flow(flow))
}

/// ISO 6358-1 and ISO 8778 (from memory): from 7 bar abs 0.033180 kg/s below 2.1 bar abs, and
/// 0.026745 kg/s into 5 bar abs.
#[test]
fn a_sonic_path_chokes() {
    for (down, want) in [(0.5, 0.033_180), (2.0, 0.033_180), (5.0, 0.026_745)] {
        let kg_s = through(PATH, 7.0, down);
        assert!((kg_s / want - 1.0).abs() < 1e-4, "{kg_s} kg/s into {down} bar abs");
        let back = through(PATH, down, 7.0);
        assert!((back + kg_s).abs() < 1e-12, "the same the other way");
    }
}

/// An ideal nozzle of 20 mm2 has b = (2/2.4)^3.5 and C = A sqrt(1.4 / (R T)) (2/2.4)^3 / 1.185, or
/// 3.9839 dm3/(s bar); its isentropic flow at a ratio of 0.8 is 0.81880 of the choked one, and the
/// ellipse stays within 0.152 % of the choked flow (gas dynamics, derived).
#[test]
fn the_ellipse_follows_an_ideal_nozzle() {
    let b = (2.0_f64 / 2.4).powf(3.5);
    let conductance =
        20e-6 * (1.4_f64 / (287.05 * 293.15)).sqrt() * (2.0_f64 / 2.4).powi(3) / 1.185;
    assert!((conductance / 3.983_9e-8 - 1.0).abs() < 1e-4, "{conductance}");
    let nozzle = SonicPath { conductance, critical_ratio: b };
    let choked = through(nozzle, 7.0, 1.0);
    for r in [0.55_f64, 0.6, 0.7, 0.8, 0.871, 0.95] {
        let isentropic =
            (2.0 / 0.4 * (r.powf(2.0 / 1.4) - r.powf(2.4 / 1.4))).sqrt() / (2.0_f64 / 2.4).powi(3);
        let ellipse = through(nozzle, 7.0, 7.0 * r) / choked;
        assert!((ellipse - isentropic).abs() < 1.6e-3, "{r}: {ellipse} for {isentropic}");
        if r == 0.8 {
            assert!((isentropic / 0.818_80 - 1.0).abs() < 1e-4);
            assert!((ellipse / 0.817_44 - 1.0).abs() < 1e-4);
        }
    }
}

struct Chamber {
    plant: Plant,
    valve: PartId,
    fill: FlowId,
    exhaust: FlowId,
    chamber: VolumeId,
}

/// A chamber between a supply of 7 bar abs and 1 bar abs, both paths shut.
fn chamber() -> Chamber {
    let mut b = PlanBuilder::new("test", 20.0);
    let valve = b.part("V1", "valve", "");
    let supply = b.volume("1", air(1e-3), Some(gauge(7.0)));
    let chamber = b.volume("2", air(CHAMBER_M3), None);
    let room = b.volume("3", air(1e-3), Some(gauge(1.0)));
    let fill = b.flow("1-2", supply, chamber, FlowLaw::Shut, Drive::None);
    let exhaust = b.flow("2-3", chamber, room, FlowLaw::Shut, Drive::None);
    let plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
    Chamber { plant, valve, fill, exhaust, chamber }
}

impl Chamber {
    fn set(&mut self, path: FlowId, open: bool) {
        let law = if open { FlowLaw::Sonic(PATH) } else { FlowLaw::Shut };
        self.plant.alter(self.valve, |c| c.flows[path.index()] = law);
    }

    fn run(&mut self, seconds: f64) {
        let until = self.plant.now() + SimTime::from_secs_f64_up(seconds);
        self.plant.advance(until, false).expect("advance");
    }

    fn bar(&mut self) -> f64 {
        (self.plant.read(Probe::Pressure(self.chamber)) + ATMOSPHERE_PA) / 1e5
    }

    /// Time [s] until the pressure passes `bar` [bar abs], to a hundredth of a millisecond.
    fn until(&mut self, bar: f64) -> f64 {
        let start = self.plant.now().as_secs_f64();
        let rising = self.bar() < bar;
        while (self.bar() < bar) == rising {
            self.run(1e-5);
            assert!(self.plant.now().as_secs_f64() < start + 5.0, "never {bar} bar");
        }
        self.plant.now().as_secs_f64() - start
    }
}

/// Isothermal exhaust of the chamber from 7 bar abs to 1 bar abs: 86.730 ms to 3.333 bar, choked
/// and exponential with V / (C p0) = 116.897 ms, and 149.37 ms more to 1.1 bar (derived).
#[test]
fn a_chamber_exhausts_in_its_time() {
    let mut c = chamber();
    c.set(c.fill, true);
    c.run(3.0);
    assert!((c.bar() / 7.0 - 1.0).abs() < 1e-4, "{} bar abs", c.bar());
    c.set(c.fill, false);
    c.run(1.0);
    assert!((c.bar() / 7.0 - 1.0).abs() < 1e-4, "it holds");
    c.set(c.exhaust, true);
    let choked = c.until(1.0 / 0.3);
    assert!((choked / 86.730e-3 - 1.0).abs() < 0.01, "{choked} s to 3.333 bar");
    let subsonic = c.until(1.1);
    assert!((subsonic / 149.37e-3 - 1.0).abs() < 0.01, "{subsonic} s more to 1.1 bar");
}

/// Isothermal filling from 1 bar abs out of 7 bar abs: linear while choked, to 2.1 bar; from there
/// the ratio is b + (1 - b) sin(t / ((1 - b) tau)) (derived), tau = V / (C p0) = 116.897 ms.
#[test]
fn a_chamber_fills_in_its_time() {
    let mut c = chamber();
    c.set(c.exhaust, true);
    c.run(3.0);
    c.set(c.exhaust, false);
    c.run(1e-3);
    assert!((c.bar() - 1.0).abs() < 1e-4, "{} bar abs", c.bar());
    c.set(c.fill, true);
    let tau = 116.897e-3;
    let choked = c.until(2.1);
    assert!((choked / (1.1 / 7.0 * tau) - 1.0).abs() < 0.01, "{choked} s to 2.1 bar");
    let mut since = 0.0;
    for bar in [4.0, 5.5, 6.5] {
        since += c.until(bar);
        let want = 0.7 * tau * ((bar / 7.0 - 0.3) / 0.7_f64).asin();
        assert!((since / want - 1.0).abs() < 0.01, "{since} s to {bar} bar, expected {want}");
    }
}

/// 63 mm at 6 bar gauge: 1870.3 N (F = p A, derived), read from the speed against a known viscous
/// friction.
#[test]
fn a_piston_pushes_with_its_area() {
    let mut b = PlanBuilder::new("test", 20.0);
    b.part("1A1", "cylinder", "");
    let cap = b.volume("2", air(1e-3), Some(6e5));
    let rod = b.volume("4", air(1e-3), Some(0.0));
    let make = Piston {
        cap_m2: PI / 4.0 * 0.063 * 0.063,
        rod_m2: PI / 4.0 * (0.063 * 0.063 - 0.02 * 0.02),
        stroke_m: 0.15,
        friction_n: 0.0,
        viscous: 1000.0,
        leak: 0.0,
        load: Load::default(),
        jammed: false,
        propped: false,
        cushions: Default::default(),
    };
    let piston = b.piston(make, cap, rod, 0.0);
    let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
    let newton = plant.read(Probe::PistonSpeed(piston)) * 1000.0;
    assert!((newton / 1870.3 - 1.0).abs() < 5e-5, "{newton} N");
}
