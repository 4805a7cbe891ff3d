//! What no run may lose: oil, air, current, vacuum, and the order in which contacts move.

use std::sync::Arc;

use num_complex::Complex64;
use spoolbench::base::{ContactId, FlowId, PistonId, SimTime, VolumeId, WindingId};
use spoolbench::electric::Suppressor;
use spoolbench::fluid::{ATMOSPHERE_PA, Medium};
use spoolbench::plant::{Current, Plan, Plant, Probe};

use super::machines::{Hands, load};

/// What a volume of `m3` [m3] at `pa` [Pa gauge] has taken up since it was at the first pair: oil [m3], or
/// air [kg] of p V / (R T), isothermal.
fn taken_up(medium: &Medium, (p0, m0): (f64, f64), (p1, m1): (f64, f64)) -> f64 {
    match *medium {
        Medium::Oil { .. } => m1 - m0 + 0.5 * (m0 + m1) * (strain(medium, p1) - strain(medium, p0)),
        Medium::Air { rt, exponent } => {
            assert!(exponent == 1.0, "isothermal only");
            ((p1 + ATMOSPHERE_PA) * m1 - (p0 + ATMOSPHERE_PA) * m0) / rt
        }
    }
}

/// Volume [1] that a unit of `medium` at `pa` [Pa gauge] gives way: oil by its modulus K, the air
/// A in it by Boyle's law, so p / K - A / p in absolute pressures (derived).
fn strain(medium: &Medium, pa: f64) -> f64 {
    let Medium::Oil { bulk_pa, free_air } = *medium else { panic!("oil only") };
    let absolute = pa + ATMOSPHERE_PA;
    absolute / bulk_pa - free_air.max(1e-5) * ATMOSPHERE_PA / absolute
}

/// Follows the oil of every volume: what its flows bring must be what it stores.
struct Ledger {
    plan: Arc<Plan>,
    flow: Vec<f64>,
    gross: Vec<f64>,
    state: Vec<(f64, f64)>,
    brought: Vec<f64>,
    stored: Vec<f64>,
    /// All that came and went.
    moved: Vec<f64>,
}

impl Ledger {
    fn new(plant: &mut Plant) -> Ledger {
        let plan = plant.plan().clone();
        let count = plan.volumes.len();
        let mut ledger = Ledger {
            plan,
            flow: Vec::new(),
            gross: Vec::new(),
            state: Vec::new(),
            brought: vec![0.0; count],
            stored: vec![0.0; count],
            moved: vec![0.0; count],
        };
        (ledger.flow, ledger.gross, ledger.state) = ledger.look(plant);
        ledger
    }

    /// Net flow into every volume, all that flows in and out of it, and its pressure and size without the pistons' give.
    fn look(&self, plant: &mut Plant) -> (Vec<f64>, Vec<f64>, Vec<(f64, f64)>) {
        let mut flow = vec![0.0; self.plan.volumes.len()];
        let mut gross = flow.clone();
        for (f, path) in self.plan.flows.iter().enumerate() {
            let q = plant.read(Probe::Flow(FlowId::new(f)));
            flow[path.first.index()] -= q;
            flow[path.second.index()] += q;
            gross[path.first.index()] += q.abs();
            gross[path.second.index()] += q.abs();
        }
        let state = (0..self.plan.volumes.len())
            .map(|v| {
                let pa = plant.read(Probe::Pressure(VolumeId::new(v)));
                (pa, self.size(plant, v))
            })
            .collect();
        (flow, gross, state)
    }

    fn size(&self, plant: &mut Plant, v: usize) -> f64 {
        let mut m3 = plant.condition().volumes[v].still_m3;
        for &(piston, cap) in &self.plan.volumes[v].chambers {
            let s = plant.read(Probe::Piston(piston));
            let make = &plant.condition().pistons[piston.index()];
            m3 += if cap { make.cap_m2 * s } else { make.rod_m2 * (make.stroke_m - s) };
        }
        m3
    }

    fn step(&mut self, plant: &mut Plant, seconds: f64) {
        let until = plant.now() + SimTime::from_secs_f64_up(seconds);
        plant.advance(until, false).expect("advance");
        let (flow, gross, state) = self.look(plant);
        for v in 0..flow.len() {
            let mean = 0.5 * (flow[v] + self.flow[v]);
            self.brought[v] += mean * seconds;
            self.moved[v] += 0.5 * (gross[v] + self.gross[v]) * seconds;
            let medium = &plant.condition().volumes[v].medium;
            self.stored[v] += taken_up(medium, self.state[v], state[v]);
            let (p0, p1) = (self.state[v].0, state[v].0);
            for a in &self.plan.volumes[v].accumulators {
                let gas = plant.condition().accumulators[a.index()];
                self.stored[v] += gas.oil(p1) - gas.oil(p0);
            }
        }
        (self.flow, self.gross, self.state) = (flow, gross, state);
    }

    /// Every volume stores what came: oil within `m3` [m3], air within 0.3 % of all that moved
    /// and what half a sample's flow of an opening valve amounts to, 2 mg.
    fn balances(&self, m3: f64) {
        for v in 0..self.stored.len() {
            if self.plan.volumes[v].fixed_pa.is_some() {
                continue;
            }
            let miss = self.brought[v] - self.stored[v];
            if let Medium::Air { .. } = self.plan.nominal.volumes[v].medium {
                let (name, moved) = (&self.plan.volumes[v].name, self.moved[v]);
                assert!(miss.abs() < 3e-3 * moved + 2e-6, "{name} lost {miss} kg of {moved} kg");
                continue;
            }
            let (name, cm3) = (&self.plan.volumes[v].name, miss * 1e6);
            assert!(miss.abs() < m3, "{name} lost {cm3} cm3");
        }
    }
}

/// Kirchhoff's current law at every terminal, windings and their suppressors included.
fn currents_balance(plant: &mut Plant) {
    let plan = plant.plan().clone();
    let mut sum = vec![Complex64::default(); plan.nodes.len()];
    for (b, place) in plan.branches.iter().enumerate() {
        let i = plant.branch_amps(spoolbench::base::BranchId::new(b));
        for (node, sign) in [(place.a, -1.0), (place.b, 1.0)] {
            sum[node.index()] += i * sign;
        }
    }
    for (w, place) in plan.windings.iter().enumerate() {
        let id = WindingId::new(w);
        let amps = plant.read(Probe::WindingAmps(id));
        let network = plan.network_of(place.a).expect("a winding hangs on a network");
        let i = if plan.networks[network].current == Current::Dc {
            let volts = plant.read(Probe::Volts(place.a, place.b));
            let beside: f64 = plant.condition().suppressors[w]
                .iter()
                .map(|s: &Suppressor| s.current(volts).0)
                .sum();
            Complex64::new(amps + beside, 0.0)
        } else {
            // Magnitudes only: what the branches bring to one end must be the winding's current,
            // and the other end must give the same back.
            let brought = sum[place.a.index()];
            let size = brought.norm_sqr().sqrt();
            assert!((size - amps).abs() < 5e-6, "{}: {size} A brought, {amps} A", place.name);
            brought
        };
        sum[place.a.index()] -= i;
        sum[place.b.index()] += i;
    }
    for (sum, node) in sum.iter().zip(&plan.nodes).skip(1) {
        let miss = sum.norm_sqr().sqrt();
        // Every terminal has 100 Mohm to earth, and the voltage of one that only a diode holds is
        // known to some 10 uV, of which an ampere makes a fifth of a milliampere.
        assert!(miss < 5e-4, "{} at {}: {miss} A", node.name, plant.now());
    }
}

/// Vacuum is the least pressure, spools and pistons keep to their range.
fn states_are_possible(plant: &mut Plant) {
    let plan = plant.plan().clone();
    for (v, place) in plan.volumes.iter().enumerate() {
        let pa = plant.read(Probe::Pressure(VolumeId::new(v)));
        assert!(pa > -ATMOSPHERE_PA, "{} at {}: {pa} Pa", place.name, plant.now());
    }
    for p in 0..plan.pistons.len() {
        let s = plant.read(Probe::Piston(PistonId::new(p)));
        let stroke = plant.condition().pistons[p].stroke_m;
        assert!(s > -1e-4 && s < stroke + 1e-4, "{s} m of {stroke} m");
    }
}

/// Contacts break before they make: of one operator's sound contacts no normally closed one
/// conducts together with a normally open one.
fn contacts_agree(plant: &Plant) {
    for operator in &plant.plan().operators {
        let any = |closed: bool| {
            operator.contacts.iter().find(|c: &&ContactId| {
                plant.plan().contacts[c.index()].normally_closed == closed
                    && plant.contact_closed(**c)
            })
        };
        assert!(
            any(true).is_none() || any(false).is_none(),
            "{} both open and closed at {}",
            operator.name,
            plant.now()
        );
    }
}

/// Plays `script` (seconds, part, acting) and checks at every sample and at every change.
fn play(name: &str, script: &[(f64, &str, bool)], end: f64, lost_m3: f64) {
    let mut h = Hands::new(load(name), 1);
    let mut ledger = Ledger::new(&mut h.plant);
    let mut next = 0;
    let plan = h.plant.plan().clone();
    let airy =
        plan.nominal.volumes.iter().zip(&plan.volumes).any(|(make, place)| {
            place.fixed_pa.is_none() && matches!(make.medium, Medium::Air { .. })
        });
    // What air does at the opening of a valve is over in a few of these.
    let sample = if airy { 1e-4 } else { 5e-4 };
    let mut k = 0_u64;
    while h.plant.now().as_secs_f64() < end - 1e-9 {
        while next < script.len() && h.plant.now().as_secs_f64() >= script[next].0 - 1e-9 {
            h.set(script[next].1, script[next].2);
            next += 1;
        }
        ledger.step(&mut h.plant, sample);
        states_are_possible(&mut h.plant);
        contacts_agree(&h.plant);
        if k.is_multiple_of(20) || !h.plant.take_happenings().is_empty() {
            currents_balance(&mut h.plant);
        }
        k += 1;
        // On the way too: there and back, a loss would cancel.
        if k.is_multiple_of(200) {
            ledger.balances(lost_m3);
        }
    }
    ledger.balances(lost_m3);
}

#[test]
fn the_pusher_keeps_its_oil_and_current() {
    let script = [
        (0.2, "S4", true),
        (0.5, "S4", false),
        (1.0, "S1", true),
        (1.3, "S1", false),
        (9.0, "S3", true),
    ];
    play("pusher.bench.ron", &script, 9.5, 5e-8);
}

#[test]
fn the_press_keeps_its_oil_and_current() {
    let script = [
        (0.2, "S4", true),
        (0.5, "S4", false),
        (1.0, "S1", true),
        (6.5, "S1", false),
        (7.5, "S2", true),
        (12.0, "S2", false),
    ];
    play("press.bench.ron", &script, 12.5, 2e-7);
}

#[test]
fn the_doors_keep_their_oil_and_current() {
    let script = [
        (0.2, "S4", true),
        (0.5, "S4", false),
        (4.0, "S1", true),
        (8.0, "S1", false),
        (12.0, "Q0", false),
    ];
    play("door.bench.ron", &script, 16.0, 2e-7);
    play("door-closed.bench.ron", &script, 16.0, 2e-7);
}

#[test]
fn the_gripper_and_the_picker_keep_their_air_and_current() {
    let moved = |name: &str, script: &[(f64, &str, bool)]| play(name, script, 6.0, 1e-7);
    moved(
        "gripper.bench.ron",
        &[
            (1.5, "S1", true),
            (1.8, "S1", false),
            (4.0, "S3", true),
            (4.0, "S2", true),
            (4.5, "S2", false),
        ],
    );
    moved("picker.bench.ron", &[(1.0, "S1", true), (4.0, "S1", false)]);
}

/// No passive path moves fluid uphill: only a pump, a jet that drives an ejector, or a flywheel that runs on gives
/// energy.
fn paths_only_dissipate(plant: &mut Plant) {
    let plan = plant.plan().clone();
    for (f, path) in plan.flows.iter().enumerate() {
        let law = plant.condition().flows[f];
        let name = format!("{law:?}");
        let turns_on = matches!(path.drive, spoolbench::plant::Drive::Motor(_));
        if name.starts_with("Pump") || name.starts_with("Eject") || turns_on {
            continue;
        }
        let q = plant.read(Probe::Flow(FlowId::new(f)));
        let dp = plant.read(Probe::Pressure(path.first)) - plant.read(Probe::Pressure(path.second));
        assert!(q * dp >= -1e-9, "{} at {}: {q} against {dp} Pa", path.name, plant.now());
    }
}

/// What the sources of the panel give, the rest takes up: copper, lamps and contacts turn it into
/// heat, and windings hold a little.
fn resistors_only_dissipate(plant: &mut Plant) {
    let plan = plant.plan().clone();
    for (b, place) in plan.branches.iter().enumerate() {
        use spoolbench::plant::BranchRole::{Feed, Load, Source, Transformer};
        if matches!(place.role, Source | Feed(_) | Load(_) | Transformer(..)) {
            continue;
        }
        let id = spoolbench::base::BranchId::new(b);
        let power = (plant.branch_volts(id) * plant.branch_amps(id).conj()).re;
        assert!(power >= -1e-9, "branch {b} gives {power} W");
    }
    // A bridge gives no more than it takes: its diodes keep the rest.
    for place in &plan.rectifiers {
        let of = |plant: &mut Plant, id| (plant.branch_volts(id) * plant.branch_amps(id).conj()).re;
        let (taken, given) = (of(plant, place.load), -of(plant, place.feed));
        assert!(
            given <= taken + 1e-3 * taken.abs() + 0.05,
            "{}: {given} W of {taken} W",
            place.name
        );
    }
}

/// Every machine that ships, with each of its buttons pushed in turn.
#[test]
fn every_shipped_machine_keeps_to_what_is_possible() {
    let folder = format!("{}/scenarios", env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("scenarios")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".bench.ron"))
        .collect();
    names.sort();
    assert!(names.len() >= 7, "{names:?}");
    for name in names {
        let mut h = Hands::new(load(&name), 5);
        let heads = |class: &str| -> Vec<String> {
            let parts = h.plant.plan().parts.iter().filter(|p| p.class == class);
            parts.map(|p| p.tag.clone()).collect()
        };
        let (buttons, selectors) = (heads("PushButton"), heads("Selector"));
        let mut moved = 0;
        for round in 0..2 {
            for tag in &selectors {
                h.set(tag, round == 0);
            }
            // Without buttons the selectors are all there is to work.
            let worked = if buttons.is_empty() { &selectors } else { &buttons };
            for tag in worked.iter().rev().chain(worked) {
                h.set(tag, true);
                for step in 0..30 {
                    if step == 10 {
                        h.set(tag, false);
                    }
                    let until = h.plant.now() + SimTime::from_millis(100);
                    h.plant.advance(until, false).expect("advance");
                    moved += h.plant.take_happenings().len();
                    states_are_possible(&mut h.plant);
                    contacts_agree(&h.plant);
                    currents_balance(&mut h.plant);
                    paths_only_dissipate(&mut h.plant);
                    resistors_only_dissipate(&mut h.plant);
                }
            }
        }
        assert!(moved > 20, "{name}: only {moved} things happened");
    }
}
