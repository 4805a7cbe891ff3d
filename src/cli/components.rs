//! `guide --components`: the table of components, with their laws, fault modes and checks.

use std::io::{self, Write};

use crate::bench::{ClassSpec, FieldKind, classes};
use crate::diagnostic::Diagnostics;
use crate::plant::Plan;

use super::exit;

/// A test that judges a class, and what its numbers come from.
type Check = (&'static [&'static str], &'static str, &'static str);

/// Classes, the test that checks them (`module::name` in `tests/it`), and its source.
pub const CHECKS: &[Check] = &[
    (&["DcSupply"], "coils::current_rises_with_its_time_constant", "closed form"),
    (&["AcSupply", "Relay"], "coils::an_alternating_current_coil_seals", "closed form"),
    (&["Relay"], "coils::two_coils_with_diodes_follow_the_whole_grid", "scipy, ngspice"),
    (&["Relay"], "panel::the_suppressor_decides_the_drop_out", "closed form"),
    (&["Relay"], "panel::a_flasher_flashes_while_it_is_on", "derived"),
    (&["Relay", "AcSupply"], "panel::a_coil_on_another_frequency", "closed form"),
    (&["Relay", "Valve"], "heat::held_current_warms_a_coil_in_its_time", "scipy"),
    (&["Fuse"], "coils::fuses_melt_in_their_time", "closed form; IEC 60269 from memory"),
    (&["Lamp"], "panel::a_lamp_in_the_plug_lights_though_the_coil_is_open", "derived"),
    (
        &["EmergencyStop"],
        "panel::direct_opening_parts_a_welded_contact",
        "IEC 60947-5-1 from memory",
    ),
    (
        &["PushButton", "Selector", "LimitSwitch"],
        "machines::the_pusher_pushes_and_returns",
        "closed form",
    ),
    (&["Isolator", "Tank"], "machines::a_dump_open_at_rest_empties_the_accumulator", "derived"),
    (&["LatchingRelay"], "panel::a_latching_relay_remembers_without_voltage", "derived"),
    (&["LatchingRelay"], "panel::both_windings_of_a_latching_relay_hold_each_other", "derived"),
    (&["Counter"], "panel::a_counter_counts_keeps_and_forgets", "derived"),
    (&["TwoHand"], "panel::two_hands_must_come_together", "ISO 13851 from memory"),
    (
        &["DcSupply", "AcSupply", "Relay"],
        "handbook::supplies_and_what_they_may_be",
        "IEC 60204-1 from memory",
    ),
    (&["Transformer"], "panel::a_transformer_couples_two_networks", "IEC 61558-1 from memory"),
    (&["Transformer"], "panel::a_transformer_keeps_the_power", "Kirchhoff's laws, by hand"),
    (
        &["Rectifier"],
        "panel::a_bridge_gives_the_mean_of_its_half_waves",
        "numerical mean of the half wave",
    ),
    (&["Rectifier"], "panel::a_bridge_keeps_the_power", "derived"),
    (&["Rectifier", "Transformer"], "panel::a_coil_behind_transformer_and_bridge", "closed form"),
    (&["CircuitBreaker"], "panel::a_breaker_trips_in_its_band", "IEC 60898-1 from memory"),
    (&["MotorStarter"], "panel::trip_classes_keep_their_bands", "IEC 60947-4-1 from memory"),
    (
        &["MotorStarter"],
        "panel::a_motor_starter_drives_its_pump_and_guards_its_motor",
        "closed form",
    ),
    (&["Plc"], "controls::an_on_delay_through_the_terminals", "IEC 61131-3 from memory"),
    (&["Plc"], "controls::inputs_sink_or_source", "derived"),
    (&["Plc", "Relay"], "panel::an_output_clamps_the_coil_that_it_lets_go", "closed form"),
    (
        &["Plc", "Relay"],
        "panel::an_interposing_relay_crosses_from_direct_to_alternating",
        "derived",
    ),
    (&["ProximitySwitch", "TerminalBlock"], "controls::a_two_wire_switch_into_an_input", "derived"),
    (&["PressureSwitch"], "air::the_gripper_grips_confirms_and_lets_go", "derived"),
    (&["Valve"], "hydraulics::a_valve_drops_with_the_square_of_flow", "derived"),
    (&["Valve"], "machines::tug_of_war", "derived"),
    (&["Valve"], "valves::a_valve_takes_the_times_of_its_data_sheet", "authored figures"),
    (&["Valve"], "valves::overrides_push_and_pull", "derived"),
    (&["Valve"], "valves::leakage_is_that_of_its_stated_oil", "derived"),
    (&["Valve"], "handbook::a_spool_leaks_by_its_clearance", "Merritt 1967 from memory"),
    (&["Valve"], "emergence::a_valve_shifts_up_to_its_operating_limit", "balance of forces"),
    (&["Pump"], "handbook::a_pump_says_what_its_shaft_takes", "derived"),
    (
        &["Accumulator", "StopValve"],
        "hydraulics::a_piston_accumulator_gives_less_than_it_took",
        "closed form",
    ),
    (&["Accumulator"], "handbook::the_gas_of_an_accumulator_warms", "CoolProp"),
    (&["Check"], "handbook::oil_shut_in_rises_as_it_warms", "derived"),
    (&["Pump", "Cylinder"], "hydraulics::cylinders_run_with_flow_over_area", "derived"),
    (&["Cylinder"], "hydraulics::cylinder_speed_and_intensification", "derived"),
    (&["Relief"], "hydraulics::a_relief_overrides_in_proportion", "derived"),
    (&["Accumulator", "Check"], "hydraulics::an_accumulator_follows_the_whole_grid", "scipy"),
    (&["Accumulator"], "fluids::accumulator_gas_by_coolprop", "CoolProp"),
    (
        &["Throttle", "ThrottleCheck"],
        "hydraulics::an_orifice_passes_its_flow",
        "Merritt 1967 from memory",
    ),
    (&["AirSupply"], "air::an_authored_supply_passes_what_iso_6358_says", "ISO 6358 from memory"),
    (
        &["HandSlide", "Receiver"],
        "air::a_hand_slide_fills_and_vents_a_receiver_in_its_time",
        "closed form",
    ),
    (&["AirCylinder"], "air::a_spring_weighs_the_force_of_a_piston", "derived"),
    (&["Regulator"], "air::a_regulator_droops_relieves_and_empties_backwards", "derived"),
    (&["QuickExhaust"], "air::a_quick_exhaust_is_quick_until_it_sticks", "derived"),
    (&["FlowControl"], "air::a_flow_control_throttles_one_way", "derived"),
    (&["SoftStart"], "air::a_slow_start_comes_up_slowly_and_then_at_once", "derived"),
    (&["Shuttle"], "air::a_shuttle_passes_the_higher_and_keeps_them_apart", "derived"),
    (&["AirValve"], "air::an_air_operated_valve_needs_its_pilot_pressure", "derived"),
    (&["AirIsolator"], "air::the_air_isolator_vents_the_machine", "derived"),
    (&["Silencer"], "air::a_blocked_silencer_slows_one_way_only", "derived"),
    (&["Tube"], "air::a_kinked_tube_slows_both_ways", "derived"),
    (
        &["VacuumEjector", "SuctionCup", "VacuumSwitch"],
        "air::vacuum_ends_where_suction_and_pores_agree",
        "balance of flows; ISO 6358 from memory",
    ),
    (
        &["TwoStageValve"],
        "emergence::the_least_pilot_pressure_is_that_of_the_springs",
        "balance of forces",
    ),
    (
        &["TwoStageValve"],
        "emergence::a_tandem_centre_starves_the_pilot_that_it_feeds",
        "balance of forces",
    ),
    (&["TwoStageValve"], "valves::pressure_centres_a_main_spool", "balance of forces"),
    (
        &["PoppetValve"],
        "emergence::a_poppet_opens_where_its_pull_meets_the_pressure",
        "balance of forces",
    ),
    (
        &["ProportionalValve"],
        "proportional::flow_goes_with_the_travel_beyond_the_overlap",
        "square law of the rated point",
    ),
    (&["ProportionalValve"], "proportional::a_ramp_takes_its_time", "derived"),
    (
        &["PilotRelief"],
        "pressure_valves::a_pilot_operated_relief_holds_its_setting_and_lets_go_when_vented",
        "balance of forces and flows, by bisection",
    ),
    (
        &["Unloading"],
        "pressure_valves::an_unloading_valve_feeds_between_cut_in_and_cut_out",
        "authored settings",
    ),
    (
        &["Reducing"],
        "pressure_valves::a_reducing_valve_holds_its_outlet_both_ways",
        "balance of forces and flows, by bisection",
    ),
    (
        &["Sequence"],
        "pressure_valves::a_sequence_valve_opens_at_its_setting_over_its_drain",
        "balance of forces and flows, by bisection",
    ),
    (
        &["Counterbalance"],
        "pressure_valves::a_counterbalance_valve_holds_a_load_and_lets_it_down_under_pressure",
        "balance of forces",
    ),
    (
        &["PilotCheck"],
        "pressure_valves::a_pilot_check_opens_by_its_area_ratio_alone",
        "balance of forces",
    ),
    (
        &["FlowRegulator"],
        "pressure_valves::a_flow_regulator_holds_its_flow_whatever_the_load",
        "balance of forces; square law",
    ),
    (&["OilShuttle"], "pressure_valves::a_shuttle_joins_the_higher_pressure", "derived"),
    (
        &["VariablePump"],
        "pressure_valves::a_compensated_pump_gives_what_is_taken",
        "balance of flows, by bisection",
    ),
    (
        &["HydraulicMotor"],
        "pressure_valves::a_motor_turns_with_its_flow_against_its_torque",
        "ISO 4391 symbols from memory",
    ),
    (&["HydraulicMotor"], "motors::a_flywheel_comes_up_and_runs_down_in_its_time", "closed form"),
    (&["ServoValve", "HydraulicMotor"], "motors::a_servo_loop_holds_the_speed", "derived"),
    (&["FlowTransducer"], "motors::a_flow_transducer_takes_its_rated_drop", "data sheet; derived"),
    (
        &["ProportionalValve", "FlowTransducer"],
        "motors::a_loop_holds_the_flow_whatever_the_load",
        "continuity",
    ),
    (&["ServoValve"], "motors::a_proportional_loop_falls_short", "square law of the rated point"),
    (&["HydraulicMotor"], "oil::warm_oil_leaks_more", "ASTM D341"),
    (
        &["Filter"],
        "pressure_valves::a_filter_tells_of_its_dirt_and_lets_oil_past",
        "square law of the rated point",
    ),
    (&["Hose"], "pressure_valves::a_hose_gives_way", "derived"),
    (
        &["VariablePump", "Strainer", "Valve", "Hose", "HydraulicMotor", "Filter"],
        "circuits::the_winch_by_scipy",
        "scipy",
    ),
    (&["Pump", "Relief", "Valve", "Cylinder"], "circuits::the_pusher_by_scipy", "scipy"),
    (&["Pump", "Relief", "Valve", "Cylinder"], "circuits::the_press_by_scipy", "scipy"),
    (&["ThrottleCheck", "Cylinder"], "circuits::a_metered_cylinder_by_scipy", "scipy"),
    (
        &["AirSupply", "HandSlide", "Receiver"],
        "circuits::a_receiver_fills_and_empties_by_scipy",
        "scipy",
    ),
    (&["Relay"], "coils::a_coil_with_a_diode_follows_ngspice", "ngspice"),
    (&["Relay", "Valve"], "coils::coils_on_alternating_current_follow_ngspice", "ngspice"),
];

/// A part of `class` as an author would write it with as little as must be written, and the parts
/// that it refers to.
fn sample(class: &ClassSpec, tag: &str, parts: &mut Vec<String>) -> String {
    let mut fields = Vec::new();
    for spec in class.fields.iter().filter(|f| f.default.is_none()) {
        let value = match spec.kind {
            // Below the setting, which must be written too.
            FieldKind::Quantity(_, low, _) if spec.name == "cut_in" => format!("\"{low}\""),
            FieldKind::Quantity(_, _, high) => format!("\"{high}\""),
            FieldKind::Supply => "\"24 V AC 50 Hz\"".to_owned(),
            FieldKind::Choice(list) => format!("\"{}\"", list.first().unwrap_or(&"")),
            FieldKind::Flag => "true".to_owned(),
            FieldKind::Count(low, _) => low.max(1).to_string(),
            FieldKind::Part(of) | FieldKind::Parts(of) => {
                let other = of.first().and_then(|name| classes().find(|c| c.name == *name));
                let Some(other) = other.filter(|_| parts.len() < 8) else { continue };
                let its = format!("Y{}", parts.len() + 1);
                let text = sample(other, &its, parts);
                parts.push(format!("\"{its}\": {text}"));
                match spec.kind {
                    FieldKind::Parts(_) => format!("[\"{its}\"]"),
                    _ => format!("\"{its}\""),
                }
            }
            FieldKind::Text if spec.name == "program" => {
                "\"PROGRAM p %QX0.0 := %IX0.0; END_PROGRAM\"".to_owned()
            }
            FieldKind::Text => "\"x\"".to_owned(),
            FieldKind::Words | FieldKind::Contacts | FieldKind::Curve => "[]".to_owned(),
        };
        fields.push(format!("{}: {value}", spec.name));
    }
    let _ = tag;
    format!("{}({})", class.name, fields.join(", "))
}

/// The smallest bench with a part X1 of `class`.
#[must_use]
pub fn smallest(class: &ClassSpec) -> Option<Plan> {
    let mut parts = Vec::new();
    let own = sample(class, "X1", &mut parts);
    parts.push(format!("\"X1\": {own}"));
    let source = format!("Bench(format: 1, parts: {{ {} }})", parts.join(", "));
    crate::bench::load("smallest", &source, &mut Diagnostics::new()).map(|bench| bench.plan)
}

/// The table, in markdown.
#[must_use]
pub fn text() -> String {
    let mut text =
        "# Components\n\nWritten by `spoolbench guide --components` from the catalogue, \
                    the table of fault modes and the list of checks. Fault modes are those of the \
                    part as it is by default; fields and defaults stand in [the guide](guide.md). \
                    Checks are tests in `tests/it`; wires and lines have none of their own.\n\n\
                    | class | what it is | laws | fault modes | checks (source) |\n\
                    | --- | --- | --- | --- | --- |\n"
            .to_owned();
    let cell = |text: &str| text.replace('|', "\\|");
    for class in classes() {
        let mut modes: Vec<String> = Vec::new();
        if let Some(plan) = smallest(class)
            && let Some(part) = plan.part("X1")
        {
            for (spec, _, _) in crate::fault::modes_of(&plan, part) {
                let mode = format!("`{}`", spec.id);
                if !modes.contains(&mode) {
                    modes.push(mode);
                }
            }
        }
        let checks: Vec<String> = CHECKS
            .iter()
            .filter(|(names, _, _)| names.contains(&class.name))
            .map(|(_, test, source)| format!("`{test}` ({source})"))
            .collect();
        let or_none = |list: Vec<String>| match list.is_empty() {
            true => "none".to_owned(),
            false => list.join(", "),
        };
        text.push_str(&format!(
            "| {} | {} | {} | {} | {} |\n",
            class.name,
            cell(class.summary),
            cell(class.laws),
            or_none(modes),
            or_none(checks)
        ));
    }
    text
}

/// Prints the table.
pub fn components(out: &mut dyn Write) -> io::Result<u8> {
    write!(out, "{}", text())?;
    Ok(exit::SUCCESS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_makes_a_smallest_bench() {
        for class in classes() {
            assert!(smallest(class).is_some(), "{}", class.name);
        }
    }

    #[test]
    fn checks_are_of_classes() {
        for (names, _, source) in CHECKS {
            assert!(!source.is_empty());
            for name in *names {
                assert!(classes().any(|c| c.name == *name), "{name}");
            }
        }
    }
}
