//! The shipped machines do what such machines do, by physics alone.

use std::sync::Arc;

use spoolbench::base::SimTime;
use spoolbench::bench;
use spoolbench::diagnostic::{Diagnostics, Sources, render_all};
use spoolbench::plant::{Element, Plan, Plant, Probe, What};

pub fn load(name: &str) -> Arc<Plan> {
    let path = format!("{}/scenarios/{name}", env!("CARGO_MANIFEST_DIR"));
    let source = std::fs::read_to_string(&path).expect("a shipped file");
    let mut found = Diagnostics::new();
    let bench = bench::load(name, &source, &mut found);
    let mut sources = Sources::new();
    sources.add(name, source.as_str());
    let text = render_all(&found, &sources, false);
    assert!(found.is_empty(), "{text}");
    Arc::new(bench.expect("a bench").plan)
}

/// A run driven by tags.
pub struct Hands {
    pub plant: Plant,
    pub story: Vec<String>,
}

impl Hands {
    pub fn new(plan: Arc<Plan>, seed: u64) -> Self {
        Hands { plant: Plant::new(plan, seed), story: Vec::new() }
    }

    pub fn set(&mut self, tag: &str, acting: bool) {
        let part = self.plant.plan().part(tag).expect("a part");
        let operator = self.plant.plan().parts[part.index()]
            .elements
            .iter()
            .find_map(|(_, e)| if let Element::Operator(o) = e { Some(*o) } else { None })
            .expect("an operator");
        self.plant.set_operator(operator, acting);
    }

    pub fn run(&mut self, seconds: f64) {
        let until = self.plant.now() + SimTime::from_secs_f64_up(seconds);
        self.plant.advance(until, false).expect("advance");
        let plan = self.plant.plan().clone();
        for h in self.plant.take_happenings() {
            let text = match h.what {
                What::Acts(o) => format!("{} acts", plan.operators[o.index()].name),
                What::Rests(o) => format!("{} rests", plan.operators[o.index()].name),
                What::SpoolReached(s, x) => format!("{} reaches {x}", plan.spools[s.index()].name),
                What::PistonReached(p, e) => format!("{} at {e}", plan.pistons[p.index()].name),
                What::Burnt(w) => format!("{} burnt", plan.windings[w.index()].name),
                What::Blew(_) => "fuse blew".to_owned(),
                What::Lit(k) => format!("{} lit", plan.lamps[k].name),
                What::Out(k) => format!("{} out", plan.lamps[k].name),
                other => format!("{other:?}"),
            };
            self.story.push(format!("{} {text}", h.at));
        }
    }

    pub fn press(&mut self, tag: &str) {
        self.set(tag, true);
        self.run(0.3);
        self.set(tag, false);
        self.run(0.1);
    }

    pub fn bar(&mut self, point: &str) -> f64 {
        let v = self
            .plant
            .plan()
            .test_points
            .iter()
            .find(|t| t.name == point)
            .expect("a test point")
            .volume;
        self.plant.read(Probe::Pressure(v)) / 1e5
    }

    pub fn winding(&mut self, name: &str, probe: fn(spoolbench::base::WindingId) -> Probe) -> f64 {
        let w = self.plant.plan().windings.iter().position(|w| w.name == name).expect("a winding");
        self.plant.read(probe(spoolbench::base::WindingId::new(w)))
    }
}

#[test]
fn the_pusher_pushes_and_returns() {
    let mut h = Hands::new(load("pusher.bench.ron"), 1);
    h.run(1.0);
    h.press("S4");
    h.run(1.0);
    println!("MP1 idle {:.2} bar", h.bar("MP1"));
    h.press("S1");
    h.run(2.0);
    println!("MP1 {:.2} MP2 {:.2} MP3 {:.2}", h.bar("MP1"), h.bar("MP2"), h.bar("MP3"));
    println!("{} {}", h.winding("1V1.a", Probe::WindingAmps), h.winding("1V1.a", Probe::Celsius));
    h.run(10.0);
    println!("MP1 {:.2} MP2 {:.2} MP3 {:.2}", h.bar("MP1"), h.bar("MP2"), h.bar("MP3"));
    h.run(60.0);
    println!("{}", h.story.join("\n"));
    println!("{:?}", h.plant.work());
}

#[test]
fn the_press_presses_and_lifts() {
    let mut h = Hands::new(load("press.bench.ron"), 1);
    h.run(1.0);
    h.press("S4");
    h.run(1.0);
    h.set("S1", true);
    h.run(6.0);
    println!("MP1 {:.2} MP2 {:.2} MP3 {:.2}", h.bar("MP1"), h.bar("MP2"), h.bar("MP3"));
    println!("{} {}", h.winding("1V1.a", Probe::WindingAmps), h.winding("1V1.a", Probe::Celsius));
    h.set("S1", false);
    h.run(3.0);
    println!("MP1 {:.2} MP2 {:.2} MP3 {:.2}", h.bar("MP1"), h.bar("MP2"), h.bar("MP3"));
    h.set("S2", true);
    h.run(6.0);
    println!("MP1 {:.2} MP2 {:.2} MP3 {:.2}", h.bar("MP1"), h.bar("MP2"), h.bar("MP3"));
    h.set("S2", false);
    h.run(60.0);
    println!("{}", h.story.join("\n"));
    println!("{:?}", h.plant.work());
}

#[test]
#[ignore]
fn where_the_work_goes() {
    let mut h = Hands::new(load("pusher.bench.ron"), 1);
    h.run(1.0);
    h.press("S4");
    h.run(1.0);
    h.press("S1");
    h.run(2.0);
    h.run(10.0);
    println!("states {:?}", h.plant.work());
}
