//! The one table of diagnostic codes. An id is never given to another meaning.
//!
//! Hundreds group the codes: 1 notation and structure, 2 quantities, 3 connections, 4 engineering,
//! 5 scenarios and rubrics, 6 scripts, 7 attempts, 8 arguments and probes, 9 the program itself.

use std::fmt;

/// One kind of problem, with a stable id such as `SB301`.
///
/// ```
/// use spoolbench::diagnostic::Code;
/// assert_eq!(Code::find("sb301"), Some(Code::UNKNOWN_TAG));
/// ```
#[derive(Clone, Copy)]
pub struct Code(&'static Entry);

struct Entry {
    id: &'static str,
    title: &'static str,
    means: &'static str,
    example: &'static str,
    mend: &'static str,
}

macro_rules! codes {
    ($($name:ident $id:literal $title:literal $means:literal $example:literal $mend:literal)*) => {
        impl Code {
            $(
                #[doc = concat!($id, ": ", $title, ".")]
                pub const $name: Code = Code(&Entry {
                    id: $id,
                    title: $title,
                    means: $means,
                    example: $example,
                    mend: $mend,
                });
            )*
        }

        /// Every code, by rising id.
        const ALL: &[Code] = &[$(Code::$name),*];
    };
}

codes! {
    UNREADABLE "SB101"
        "the file cannot be read"
        "The file is missing, is a directory, or may not be read."
        "a scenario that names `bench: \"pres.ron\"` beside a file `press.ron`"
        "Check the name, the folder it is looked for in, and the permissions."
    TOO_LARGE "SB102"
        "the file is too large"
        "A file longer than the limit is not read at all, so that no file can exhaust the machine."
        "a bench file of 40 MB"
        "Split the file, or take out what was pasted in by mistake."
    NOT_UTF8 "SB103"
        "the file is not UTF-8 text"
        "The bytes of the file are no text in UTF-8. Often the file was saved in an older encoding, or is no text file."
        "a degree sign saved as the single byte B0"
        "Save the file as UTF-8."
    SYNTAX "SB104"
        "the notation is broken"
        "The file does not follow the notation: a bracket, comma, colon or quote is missing or superfluous."
        "`coil: \"24 V DC\" contacts: 2`, without a comma"
        "Look at the marked place and just before it; every bracket and quote must close."
    UNKNOWN_FIELD "SB105"
        "this field is not known here"
        "A field has a name that this record does not have."
        "`presure: \"70 bar\"`"
        "Use one of the names listed, or remove the field."
    MISSING_FIELD "SB106"
        "a required field is missing"
        "The record lacks a field for which there is no default."
        "`Cylinder(stroke: \"200 mm\")` without a bore"
        "Add the field; its example stands in the help."
    DUPLICATE_FIELD "SB107"
        "this field is given twice"
        "The same field stands twice in one record; neither is preferred."
        "`bore: \"25 mm\", bore: \"32 mm\"`"
        "Keep one of the two."
    DUPLICATE_TAG "SB108"
        "this designation is given twice"
        "Two parts have the same designation, so a wire or a fault could mean either."
        "two relays called `K1`"
        "Give each part a designation of its own."
    WRONG_TYPE "SB109"
        "another kind of value is wanted"
        "A text stands where a list is wanted, or the like."
        "`parts: \"K1\"`"
        "Write the kind of value named in the message."
    TOO_DEEP "SB110"
        "nested too deeply"
        "Brackets stand inside one another deeper than the limit."
        "a thousand opening brackets in a row"
        "Flatten the description."
    UNKNOWN_CLASS "SB111"
        "no such kind of part"
        "The catalogue has no component class of this name."
        "`\"K1\": Realy()`"
        "Use a class of the catalogue; the nearest is named in the help."
    TOO_MANY_VALUES "SB112"
        "the file holds too many values"
        "The file has more values than the limit."
        "a list of a million numbers"
        "Split the file or shorten its lists."
    NOT_FINITE "SB113"
        "the number is not finite"
        "Infinity, not-a-number and numbers too large for a computer are never values here."
        "`stroke: inf`"
        "Write an ordinary number."
    BAD_TAG "SB114"
        "this is no designation"
        "A designation is 1 to 16 letters, digits, dots or underscores. W and a number are kept for wires."
        "a relay called `\"relay one!\"`"
        "Write a designation such as `K1` or `1V1`."
    EMPTY "SB115"
        "there is nothing here"
        "The file, the text or the list is empty where something is needed."
        "a bench without parts"
        "Fill it in, or remove it."
    TOO_MANY_PARTS "SB117"
        "too many parts"
        "The bench has more parts, wires or lines than the limit."
        "a bench of 100 000 relays"
        "Split the bench."
    BAD_QUANTITY "SB201"
        "this is no quantity"
        "The text is not a number followed by a unit."
        "`\"seventy bar\"`, `\"70,5 bar\"`, `\"70\"`"
        "Write the number with a decimal point and then the unit: `\"70.5 bar\"`."
    WRONG_DIMENSION "SB202"
        "the unit measures something else"
        "The quantity is well written, but measures something else than is wanted here."
        "a pressure of `\"12 L/min\"`"
        "Write a unit of the quantity named in the message."
    OUT_OF_RANGE "SB203"
        "the value is out of range"
        "The value lies outside what this field can be."
        "a bore of `\"-25 mm\"`"
        "Write a value inside the range named in the message."
    UNKNOWN_CHOICE "SB204"
        "this is none of the choices"
        "A word stands here that is none of the words to choose from."
        "`rest: \"sprung\"`"
        "Write one of the choices listed."
    BAD_SUPPLY "SB205"
        "this is no supply"
        "A supply is a voltage with DC, or with AC and its frequency."
        "`\"230 V AC\"`"
        "State the kind, and the frequency of an alternating supply: `\"230 V AC 50 Hz\"`."
    INCONSISTENT_VALUES "SB206"
        "two values contradict each other"
        "Each value alone is possible, both together are not."
        "a rod as thick as the bore"
        "Correct one of the two."
    MISSING_UNIT "SB207"
        "the unit is missing"
        "A plain number stands where a quantity with a unit is wanted."
        "`bore: 25`"
        "Write the unit in quotes with the number: `\"25 mm\"`."
    NOT_WHOLE "SB208"
        "a whole number is wanted"
        "The number has a fraction, a sign, or is too large to count with."
        "`contacts: 2.5`"
        "Write a whole number."
    UNKNOWN_TAG "SB301"
        "no part has this designation"
        "A wire, line or reference names a part that the bench does not have."
        "a rung through `K9` on a bench with K1 to K4"
        "Correct the designation or add the part."
    UNKNOWN_TERMINAL "SB302"
        "the part has no such terminal"
        "The part exists but has no terminal of this marking."
        "`K1:15` on a relay with contacts 13-14 and 21-22"
        "Use a marking of the part; they are listed in the help."
    UNKNOWN_PORT "SB303"
        "the part has no such port"
        "The part exists but has no port of this marking."
        "`1V1:C` on a valve with P, A, B and T"
        "Use a marking of the part; they are listed in the help."
    WIRE_TO_NOWHERE "SB304"
        "the wire ends nowhere"
        "A wire joins fewer than two different terminals."
        "a wire from `K1:A1` to `K1:A1`"
        "Give the wire two different ends, or remove it."
    PORT_JOINED_TWICE "SB305"
        "the port is already joined"
        "A port lies in one line only."
        "two lines with `1V1:P`"
        "Put everything that meets there into one line."
    PORT_LEFT_OPEN "SB306"
        "the port is left open"
        "A port lies in no line. It counts as plugged."
        "port B of a directional valve with no line"
        "Join it if it is not meant to be plugged."
    RUNG_SYNTAX "SB307"
        "the rung cannot be read"
        "A rung is elements in series and parallel from a terminal to another; an element is a part with the two terminals it is passed by."
        "`(S1:13-14 | K1:13-14`, without its closing bracket"
        "Correct the marked place; see the guide to rungs."
    RUNG_WITHOUT_LOAD "SB308"
        "the rung has no load"
        "A path of contacts alone joins the two sides of the supply: it would be a short circuit."
        "a rung of S1 and K1 with no coil or lamp"
        "End the rung in a coil, a lamp or another load."
    FLOATING_NETWORK "SB309"
        "nothing ties this network to the supply"
        "A coil or a lamp is joined to no supply."
        "a lamp wired to a contact whose other side is free"
        "Join it to the supply, or remove it."
    MIXED_AC_DC "SB310"
        "AC and DC meet in one network"
        "Two supplies of different kinds are wired to each other."
        "a 24 V DC rung that returns to the 120 V AC neutral"
        "Separate the circuits by a relay."
    WRONG_KIND_OF_END "SB311"
        "this cannot be joined or named here"
        "Wires join terminals and lines join ports; a field that names a part takes certain classes only."
        "a wire to `1V1:P`"
        "Use a terminal in a wire, a port in a line, and a part of the class named in the help."
    OIL_MEETS_AIR "SB312"
        "oil and air meet in one line"
        "Ports of an oil part and of an air part are joined."
        "a regulator on a hydraulic valve"
        "Keep the two media in lines of their own."
    COIL_VOLTAGE "SB401"
        "the coil does not fit the supply"
        "The rated voltage of the coil is far from the voltage of its supply."
        "a 24 V coil on 120 V"
        "Use a coil for this supply; keep it if the misfit is the exercise."
    WRONG_SUPPLY_KIND "SB402"
        "the coil is made for the other kind of supply"
        "A DC coil stands on AC or the other way round."
        "a `\"24 V DC\"` coil on `\"24 V AC 50 Hz\"`"
        "Use a coil for this supply; keep it if the misfit is the exercise."
    LINT_INTERLOCK "SB411"
        "both coils of a valve can be on together"
        "The exploration of the control circuit found a way. Two coils fight: an alternating-current coil burns, the spool stands between. ISO 13849-2 lists it among the faults to design out (from memory)."
        "`K1` and `K2` without a normally closed contact in each other's rung"
        "Put a normally closed contact of each relay into the other's rung."
    LINT_OUTPUT "SB413"
        "the output of a controller cannot drive its load"
        "Current, kind of current, or what leaks through while it is off does not fit the load. Ratings: IEC 61131-2 (from memory)."
        "a 26 W solenoid at 24 V on a transistor output of 0.5 A"
        "Put an interposing relay between, or use another output."
    LINT_OVERRIDE "SB414"
        "a valve that moves a cylinder has no manual override"
        "When the control is dead nobody can free what is caught, or lower what is lifted. Common practice, no source."
        "`Valve(override: \"none\")` on a cylinder"
        "Fit a valve with overrides."
    LINT_ACCUMULATOR "SB415"
        "an accumulator keeps its oil when the machine is off"
        "ISO 4413 wants it let down or shut off by itself when the machine is shut down, and protected against overpressure (from memory)."
        "an accumulator with neither a way to the tank at rest nor a relief"
        "Let a valve that is open at rest lead from it to the tank, and a relief limit it."
    LINT_POWER_LOSS "SB416"
        "nobody has said what a detented valve does when the supply fails"
        "It keeps its position, so the machine goes on doing what it did. That can be right, but has to be meant (ISO 13849-1, from memory)."
        "a `detented` valve without `power_loss`"
        "Write `power_loss: \"keeps its position\"`, or take a valve with a spring."
    LINT_SHIFT_LIMIT "SB417"
        "the valve may not shift against its flow"
        "At the flow of the pump and the pressure of the relief the flow force is more than the coil has left over its spring (Merritt 1967, ch. 5; from memory)."
        "a small direct-operated valve behind a large pump"
        "Take a larger valve, one with a pilot stage, or less flow."
    LINT_LOAD_HELD "SB418"
        "a load hangs on a spool"
        "Spools leak: the load sinks, and falls when a hose bursts. ISO 4413 wants it held by a valve at the cylinder (from memory)."
        "a lifted weight with nothing between the cylinder and the directional valve"
        "Put a counterbalance or a pilot check valve at the cylinder."
    LINT_RELIEF "SB419"
        "a pump has no relief"
        "A fixed pump that nothing takes oil from breaks the weakest part. ISO 4413 wants a pressure limit at every pump (from memory)."
        "a `Pump` without a `Relief` on its line"
        "Put a relief on its pressure line, before anything that can shut."
    LINT_SEALS "SB420"
        "the seals do not stand the fluid"
        "They swell or dissolve (ISO 6072 tests it; pairs from memory)."
        "NBR seals in phosphate ester"
        "Choose other seals: FKM for phosphate ester, NBR for mineral oil and water glycol."
    LINT_FILTER "SB421"
        "an oil circuit without a filter"
        "Most faults of valves are dirt. ISO 4413 wants filtration for the cleanliness that the parts need (from memory)."
        "a pump and valves, no `Filter`"
        "Put a filter into the return or the pressure line."
    LINT_TEST_POINT "SB422"
        "a pressure that nobody can measure"
        "Nobody may open a line without a gauge reading of zero on that very volume; faults cannot be found without pressures. ISO 4413 wants test points (from memory)."
        "a cylinder line without `test_point`"
        "Write `test_point: \"MP5\"` on its line."
    LINT_WIRE_FUSE "SB423"
        "the wire is too thin for its fuse"
        "The wire burns before the fuse blows. Currents of copper wires in ducts, PVC at 40 degC: IEC 60204-1 table 6, B2; what a short may let through: k2 S2 of IEC 60364-5-54 (both from memory)."
        "0.75 mm2 behind a fuse of 16 A, or behind one with a melting integral of 8000 A2s"
        "Take a smaller fuse or a thicker wire."
    LINT_NO_FUSE "SB424"
        "a circuit without a fuse"
        "A short melts its wires. IEC 60204-1 wants every control circuit protected (from memory)."
        "a supply wired straight to its contacts"
        "Put a fuse between the supply and everything else."
    LINT_SHORT "SB425"
        "contacts can short the supply"
        "When these contacts are closed together nothing but wire lies between the poles."
        "a rung without a load"
        "Put the load into the path."
    LINT_STOP "SB426"
        "a stop or a contact is in the wrong place"
        "Between coil and return one fault to earth bridges it; IEC 60204-1 wants the coil at the return and every contact on the other side (from memory). A stop that switches nothing off is none."
        "`K1:A1-A2, S0:21-22`"
        "Put it between the fuse and the coil, where all that it must stop passes."
    LINT_ACCEPTED "SB427"
        "advice is accepted that is not given"
        "The bench says why it does not follow some advice, but no such advice is given."
        "`Accepted(code: \"SB421\", ...)` on a bench with a filter"
        "Take it out."
    LINT_INLET "SB428"
        "a valve stands less than its relief is set to"
        "A valve's body and seals are made for a highest inlet pressure. What limits the pressure before it must be set below that (ISO 4413, from memory)."
        "`Relief(setting: \"250 bar\")` before `Valve(max_inlet: \"210 bar\")`"
        "Set the relief lower, or take a valve that stands it."
    LINT_PILOT "SB429"
        "a centre that starves its own pilot"
        "The pilot takes its pressure from P, and the centre joins P to T: what is left there must be the least pilot pressure on the nameplate (balance of forces)."
        "`TwoStageValve(centre: \"tandem\")` without a pilot-pressure check"
        "Write a `pilot_check` above the least pilot pressure, or feed the pilot through X."
    UNKNOWN_FAULT_MODE "SB501"
        "the part cannot fail this way"
        "The part has no fault mode of this name."
        "`Fault(part: \"K1\", mode: \"burst\")`"
        "Use a mode of the part; they are listed in the help and in the guide."
    UNKNOWN_PART "SB502"
        "the bench has no such part"
        "A fault or an answer names a part the bench does not have."
        "a fault in `K9` on a bench with K1 to K4"
        "Correct the designation."
    BENCH_NOT_FOUND "SB503"
        "the bench file is not found"
        "The scenario names a bench file that is not there."
        "`bench: \"prses.ron\"`"
        "Correct the name; it is looked for beside the scenario."
    BAD_WEIGHTS "SB504"
        "the weights do not add up"
        "A weight, the pass mark or a band is no share of the whole, or the weights do not add up to 100."
        "weights of 50 and 40"
        "Correct the weights."
    UNKNOWN_TOOL "SB506"
        "no such tool"
        "The scenario allows a tool that does not exist."
        "`tools: [\"multimetre\"]`"
        "Use a tool of the guide."
    NO_FAULT "SB507"
        "the scenario has no fault"
        "A scenario names neither faults nor a script, and does not say that none is meant."
        "a scenario without `faults` and without `scripts`"
        "Name a fault, or write `faults: []` if the machine is meant to be sound."
    UNREACHABLE_TASK "SB508"
        "the task can never be fulfilled"
        "What is expected of the machine cannot be seen on this bench, or takes longer than the marker's trial."
        "`expect: [\"9A9 extended\"]` on a bench without 9A9; `retest: [\"wait 40 min\"]`"
        "Name a cylinder of the bench, and `extended` or `retracted`; wait less."
    PATH_OUTSIDE "SB509"
        "the file lies outside the scenario's folder"
        "A scenario may only name files beside it."
        "`bench: \"../../secret.ron\"`"
        "Move the file into the scenario's folder."
    FAULT_OUT_OF_RANGE "SB510"
        "the fault does not fit its part"
        "The part can fail this way, but not with this role, severity or onset."
        "a severity of 2 for a mode that takes 0 to 1"
        "Write what the help says; roles, units and ranges stand in the guide."
    DRILL_UNDECIDED "SB511"
        "the question of a drill is not decided"
        "The machine is put to the proof, and of the choices none holds, or more than one; which is right is never written down."
        "the choices `1A1 extended` and `never 1V1.b on` where the rod goes out by solenoid a"
        "Write into `when` of each choice what only it would show: the help says what the machine did not do."
    SCRIPT_SYNTAX "SB601"
        "the script cannot be read"
        "The fault script has a mistake of notation."
        "`bench.inject(\"K1\", \"stuck\" }`"
        "Correct the marked place."
    SCRIPT_RUN "SB602"
        "the script failed while running"
        "The script was read but stopped with an error."
        "a call of a function that does not exist"
        "Correct the marked place."
    SCRIPT_LIMIT "SB603"
        "the script reached a limit"
        "The script used more operations, depth or memory than it is given."
        "`loop {}`"
        "Let the script finish; use a timer instead of waiting in a loop."
    SCRIPT_FORBIDDEN "SB604"
        "scripts may not do this"
        "Scripts have no files, no clock, no modules and no luck but their own."
        "`eval(\"...\")`"
        "Use the functions of the guide."
    SCRIPT_NOT_FOUND "SB606"
        "the script is not found"
        "The scenario names a script that is not there."
        "`scripts: [\"coil.rhia\"]`"
        "Correct the name; it is looked for beside the scenario."
    PLC_SYNTAX "SB611"
        "the program of a controller cannot be read"
        "The text does not follow the subset of Structured Text that the guide describes."
        "`run = start;` with `=` where `:=` is wanted"
        "Look at the marked place and just before it; every statement ends in a semicolon."
    PLC_NAME "SB612"
        "a name of the program is unknown or given twice"
        "A variable, a block, one of its members or a terminal is used that was not declared, or is declared twice."
        "`run := strat;`"
        "Declare it in a VAR block, or correct the name."
    PLC_TYPE "SB613"
        "a value of another type is wanted"
        "BOOL, INT and TIME are never mixed, and what only the controller writes cannot be assigned."
        "`IF count THEN` with an INT"
        "Compare it, such as `count > 0`, or declare the variable with the right type."
    PLC_ADDRESS "SB614"
        "the controller has no such terminal"
        "The address or the binding names an input or an output that the controller does not have, or one that is used already."
        "`AT %IX2.0` on a controller of eight inputs"
        "Use one of its terminals, or give it more."
    PLC_LIMIT "SB615"
        "the program is too large"
        "A program has limits on its text, its variables, its nesting and its work in a scan, so that no program can hold up the bench."
        "a hundred parentheses inside one another"
        "Shorten the program."
    PLC_NOT_FOUND "SB616"
        "the program of a controller is not found"
        "The bench names a program file that cannot be read beside it."
        "`program: \"pres.st\"` beside a file `press.st`"
        "Correct the name, or write the program itself in the field."
    BAD_LINE "SB701"
        "the line of the journal cannot be read"
        "A journal is one JSON object a line."
        "a line cut in the middle"
        "Use the journal as it was recorded."
    UNKNOWN_ACTION "SB702"
        "no such action"
        "A line of an attempt, of an action list or of a retest holds no action of this version."
        "`pres S1`"
        "Use the words of the guide; leave an attempt as it was recorded."
    TIME_ORDER "SB704"
        "times are out of order"
        "A line has an earlier time than the line before it."
        "12 s after 15 s"
        "Use the journal as it was recorded."
    WRONG_FORMAT "SB705"
        "another version of the format"
        "The file is written in a format this version does not read."
        "`\"format\":99`"
        "Write the format named in the help, or use the version that wrote the file."
    JOURNAL_TOO_LONG "SB706"
        "the journal is too long"
        "The journal has more lines, longer lines, or a later time than the limit."
        "a journal of a month"
        "Record shorter attempts."
    JOURNAL_NO_HEAD "SB707"
        "the journal has no head"
        "The first line must say the format, the scenario and the seed."
        "a journal whose first line was deleted"
        "Use the journal as it was recorded."
    ACTION_REFUSED "SB708"
        "the action is not possible there"
        "The action is known, but its part cannot be acted on in that way."
        "pressing a lamp"
        "Use the journal as it was recorded, with the bench it was recorded on."
    OTHER_SCENARIO "SB709"
        "the journal belongs to another scenario"
        "The journal names another scenario than the one it is marked against."
        "an attempt at scenario 3 marked with the rubric of scenario 4"
        "Mark it with its own scenario."
    NO_RESULTS "SB710"
        "the file is no file of grades"
        "A file that is taken up again or joined must be one that `grade --out` wrote, in this version's format."
        "`merge` given an attempt"
        "Name the files that `grade --out` has written."
    OTHER_BATCH "SB711"
        "the grades belong to another batch"
        "Grades of one file are made with one scenario, one rubric, one class and one version of the program."
        "`--resume` after the scenario was changed"
        "Write the grades of each batch to a file of their own."
    BATCH_NOT_WHOLE "SB712"
        "the batch is not whole"
        "A part of a divided batch is missing, given twice, was stopped before its end, or was made from another list of attempts."
        "`merge` given seven parts of eight"
        "Let every part come to its end over the same list of attempts, and give each of them once."
    NO_VARIANTS "SB721"
        "there are no faults to choose from"
        "No fault of the machine is as hard to find as the scenario's own, or none can be told apart and shows."
        "variants that are all much harder than the scenario's fault"
        "Declare others, or widen the band with `--band`."
    BAD_ROSTER "SB722"
        "the roster cannot be used"
        "A roster is a table with comma-separated values, with a column `id` that names every learner once."
        "two rows with the id 17"
        "Correct the row."
    BAD_SECRET "SB723"
        "the secret cannot be used"
        "A secret that could be guessed hides nothing, and one that is too long is some other file."
        "a secret of five letters"
        "Write 16 bytes or more that nobody guesses into a file of its own."
    BROKEN_KIT "SB724"
        "the kit does not open"
        "A kit opens only as it was handed out: every change breaks its seal."
        "a kit of which an editor changed a letter"
        "Fetch the kit again."
    SEALED_KIT "SB725"
        "a kit is opened for practice alone"
        "A kit hides its fault from the learner, so only the verbs that let a learner work open it."
        "`run` given a kit"
        "Practise with `console`; mark with the scenario, the roster and the secret."
    NOT_IN_CLASS "SB726"
        "the attempt is of nobody in this class"
        "The attempt was not made with a kit that this secret gives to a learner of this roster."
        "an attempt whose pseudonym was changed"
        "Hand in the attempt as it was written, and mark it with the secret and the roster of its class."
    BAD_PROBE "SB802"
        "the probe is not understood"
        "A probe is a letter for what to record and a place: U:K1:A1, I:1V1.a, p:MP1, q:1V1:P-A, x:1V1, s:1A1, v:1A1, T:1V1.a, n:M1."
        "`--probe 1V1`"
        "Write a probe such as `p:MP1`; the message lists the places."
    OUTPUT_FAILED "SB803"
        "the output cannot be written"
        "The file or folder cannot be written, or the attempt is there already."
        "an output folder that does not exist"
        "Check the name, the permissions and the free space."
    UNKNOWN_CODE "SB804"
        "no such code"
        "There is no diagnostic with this code."
        "`explain SB999`"
        "Use a code as it is printed."
    BAD_TIME_SPAN "SB805"
        "the span of time is not usable"
        "A span is no time with a unit, is zero, or is too long."
        "`--until soon`"
        "Write a time such as `10 s`."
    INTERNAL "SB901"
        "a mistake of the program"
        "Something happened that should be impossible. No file is to blame."
        "an invariant that does not hold"
        "Please report it with the files and the command."
    SOLVER_FAILED "SB902"
        "the solution did not converge"
        "The equations of the machine could not be solved to the tolerance at this moment."
        "values so far apart that the computer's numbers do not suffice"
        "Look for extreme values in the bench; please report it if there are none."
    EVENT_STORM "SB903"
        "too many events at one instant"
        "Parts switched one another without any time passing, more often than the limit."
        "two parts with no reaction time that contradict each other"
        "Give the parts their reaction times; please report it otherwise."
    RUN_LIMIT "SB904"
        "the run was stopped"
        "The run needed more steps or events than it is given."
        "a relay that buzzes for hours"
        "Shorten the run or correct the circuit."
}

impl Code {
    /// Every code, by rising id.
    #[must_use]
    pub fn all() -> &'static [Code] {
        ALL
    }

    /// The code with this id, in upper or lower case.
    #[must_use]
    pub fn find(id: &str) -> Option<Code> {
        ALL.iter().copied().find(|code| code.id().eq_ignore_ascii_case(id))
    }

    /// The stable id: "SB301".
    #[must_use]
    pub fn id(self) -> &'static str {
        self.0.id
    }

    /// What is wrong, in a few words.
    #[must_use]
    pub fn title(self) -> &'static str {
        self.0.title
    }

    /// What it means.
    #[must_use]
    pub fn means(self) -> &'static str {
        self.0.means
    }

    /// A typical case.
    #[must_use]
    pub fn example(self) -> &'static str {
        self.0.example
    }

    /// How to mend it.
    #[must_use]
    pub fn mend(self) -> &'static str {
        self.0.mend
    }

    /// The whole entry as a few lines of text.
    #[must_use]
    pub fn explanation(self) -> String {
        format!(
            "{}: {}\n\n{}\n\nExample: {}.\n\nTo mend it: {}\n",
            self.id(),
            self.title(),
            self.means(),
            self.example(),
            self.mend()
        )
    }
}

impl PartialEq for Code {
    fn eq(&self, other: &Code) -> bool {
        self.id() == other.id()
    }
}

impl Eq for Code {}

impl PartialOrd for Code {
    fn partial_cmp(&self, other: &Code) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Code {
    fn cmp(&self, other: &Code) -> std::cmp::Ordering {
        self.id().cmp(other.id())
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

impl fmt::Debug for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

impl serde::Serialize for Code {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.id())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_rise_and_every_entry_is_filled() {
        for pair in Code::all().windows(2) {
            assert!(pair[0] < pair[1], "{} before {}", pair[0], pair[1]);
        }
        for code in Code::all() {
            let digits = code.id().strip_prefix("SB").unwrap();
            assert!(digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit()));
            assert!(!code.title().is_empty() && !code.title().ends_with('.'), "{code}");
            assert!(code.means().ends_with('.') && code.mend().ends_with('.'), "{code}");
            assert!(!code.example().is_empty() && !code.example().ends_with('.'), "{code}");
            assert_eq!(Code::find(code.id()), Some(*code));
        }
        assert_eq!(Code::find("SB999"), None);
    }
}
