//! Oil that warms: throttled power, cooling, thinning. Closed forms, derived but where said.

use spoolbench::fluid::oil::Viscosity;
use spoolbench::plant::Probe;

use super::pressure_valves::{Rig, near};

/// A pump of 12 L/min over a relief at 70 bar, with this oil.
fn rig(oil: &str, parts: &str, on_pressure: &str, on_tank: &str) -> Rig {
    let parts = format!(
        r#""T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", speed: "1500 rpm", efficiency: "100 %"),
        "RV1": Relief(setting: "70 bar", rated_flow: "12 L/min"), {parts}"#
    );
    let lines = format!(
        r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T"{on_tank}]), Line(name: "P", ports: ["M1:P", "RV1:P"{on_pressure}])"#
    );
    Rig::oiled(&format!("free_air: \"0 %\", {oil}"), &parts, &lines)
}

/// 1400 W into 20 L of 870 kg/m3 and 1900 J/(kg K), 50 W/K to the room: T0 + P / G (1 - e^(-t G / C)).
#[test]
fn a_relief_warms_the_oil() {
    let mut r = rig(r#"grade: "VG 46", contents: "20 L", cooling: "0.02 K/W""#, "", "", "");
    let (watt, shed, heat) = (70e5 * 12.0 / 60_000.0, 50.0, 0.02 * 870.0 * 1900.0);
    for minutes in [5.0_f64, 20.0] {
        let now = r.plant.now().as_secs_f64();
        r.run(minutes * 60.0 - now);
        let want = 20.0 + watt / shed * (1.0 - (-minutes * 60.0 * shed / heat).exp());
        near(r.plant.read(Probe::OilCelsius), want, 2e-3, "oil");
    }
}

/// Leakage goes with one over the viscosity, by ASTM D341 through 46 and 6.8 mm2/s: 20.623 mm2/s at
/// 60 degC against 133.84 at 20 (an independent evaluation of the same formula). The motor stands
/// braked: a load hung on it instead would drive it, and what it then throttles warms any oil.
#[test]
fn warm_oil_leaks_more() {
    let leak = |start: &str| {
        let oil = format!(
            r#"grade: "VG 46", viscosity_100: "6.8 mm2/s", contents: "100 m3", start: "{start}""#
        );
        let mut r = rig(
            &oil,
            r#""H1": HydraulicMotor(displacement: "16 cm3/rev", friction: "100000 N m", leakage: "1 L/min"),"#,
            ", \"H1:A\"",
            ", \"H1:B\", \"H1:L\"",
        );
        r.run(2.0);
        let want: f64 = start.trim_end_matches(" degC").parse().expect("a number");
        near(r.plant.read(Probe::OilCelsius), want, 1e-4, "oil");
        near(r.flow("H1", "motor") - 2.0 * r.flow("H1", "leak A-L"), 0.0, 0.0, "it stands");
        r.flow("H1", "leak A-L") / r.bar("P")
    };
    let (cold, warm) = (leak("20 degC"), leak("60 degC"));
    near(warm / cold, 133.84 / 20.623, 2e-4, "warm over cold");
    near(cold, 0.5 / 100.0 * 46.0 / 133.84, 2e-4, "cold");
}

/// Viscosity at 100 degC of oils of index 100, by the Python library chemicals 1.5.2 (its
/// viscosity_index, ASTM D2270, solved for it); typical sheets give 5.4, 6.8 and 8.7 mm2/s for VG 32,
/// 46 and 68 (common practice, no source).
#[test]
fn the_usual_oil_thins_as_usual() {
    for (at_40, at_100) in [
        (10.0, 2.658_54),
        (15.0, 3.409_59),
        (22.0, 4.294_05),
        (32.0, 5.361_86),
        (46.0, 6.760_36),
        (68.0, 8.731_30),
        (100.0, 11.383_74),
        (150.0, 15.020_00),
        (220.0, 19.435_29),
        (320.0, 24.953_85),
    ] {
        // The library goes by the table of the standard, this by its formula: 0.1 % apart.
        near(Viscosity::usual(at_40).at(100.0), at_100, 2e-3, "at 100 degC");
        near(Viscosity::usual(at_40).at(40.0), at_40, 1e-9, "at 40 degC");
    }
    for (at_40, sheet) in [(32.0, 5.4), (46.0, 6.8), (68.0, 8.7)] {
        near(Viscosity::usual(at_40).at(100.0), sheet, 0.01, "a sheet at 100 degC");
    }
    // Thinner and thicker than the standard's table it goes on in a line that falls.
    for at_40 in [2.2, 4.6, 1000.0, 3200.0] {
        let oil = Viscosity::usual(at_40);
        assert!(oil.at(100.0) < 0.6 * at_40 && oil.at(100.0) > 0.03 * at_40, "{at_40}");
        assert!(oil.slope(40.0) < 0.0);
    }
}

/// Cold oil resists a spool as it resists everything: the shift takes longer.
#[test]
fn cold_oil_slows_a_spool() {
    let time = |start: &str| {
        let parts = r#""G1": DcSupply(voltage: "24 V DC", earthed: true), "S1": PushButton(contacts: ["13-14"]),
            "1V1": Valve(rest: "spring offset"), "T1": Tank(),"#;
        let lines = r#"Line(name: "tank", ports: ["T1:T", "1V1:T"])"#;
        let oil = format!(r#"grade: "VG 46", start: "{start}", contents: "100 m3""#);
        let mut r = Rig::oiled_and_wired(
            &oil,
            parts,
            lines,
            r#"Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2")"#,
        );
        r.hold("S1", true);
        let mut ms = 0;
        while r.spool("1V1", "spool") < 0.95 && ms < 2000 {
            r.run(1e-3);
            ms += 1;
        }
        ms
    };
    let (cold, warm) = (time("0 degC"), time("40 degC"));
    assert!(cold > warm + 20 && cold < 2000, "{cold} ms and {warm} ms");
}
