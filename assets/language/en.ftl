# Text for people, English. Every other catalogue has the same messages with the same gaps.

## Grades

verdict-competent = competent
verdict-not-yet-competent = not yet competent
gate-passed = safety gate passed
gate-failed = safety gate FAILED
marks-of = { $marks } of { $most } marks
minutes = { $minutes } min
nothing = nothing
named = named
truth = truth

ended-handed-back = handed back
ended-unsafe = stopped as unsafe
ended-time-up = time was up
ended-broken = the machine could not go on
ended-never = never handed back

criterion-symptom = Symptom
criterion-method = Method
criterion-part = Faulty part
criterion-mode = What is wrong with it
criterion-evidence = Evidence
criterion-repair = Repair
criterion-hand_back = Hand-back
criterion-efficiency = Efficiency
criterion-symptom-asks = operated and looked before touching, and noted the symptom
criterion-method-asks = chose tests that could tell something; replaced no sound part
criterion-part-asks = named the faulty part
criterion-mode-asks = named what is wrong with it
criterion-evidence-asks = proved it by what was seen and measured, and wrote it down
criterion-repair-asks = removed the fault and tried the machine afterwards
criterion-hand_back-asks = left nothing behind and handed the machine back
criterion-efficiency-asks = lost little time against the best next tests

why-operated-and-noted = operated first and wrote the symptom down
why-operated-only = operated first, wrote nothing down
why-noted-only = wrote something down, did not operate first
why-neither-operated-nor-noted = neither operated nor wrote anything down before touching
why-method = { $readings ->
    [one] 1 reading
   *[other] { $readings } readings
 } before touching, { $idle } that could tell nothing, { $sound ->
    [one] 1 sound part
   *[other] { $sound } sound parts
 } replaced
why-named = named { $what }
why-nothing-named = no fault was named
why-works-and-tried = the machine works, and was tried after the repair
why-works-not-tried = the machine works, but was not tried after the repair
why-does-not-work = the machine does not do what it should
why-handed-back = handed back with nothing left behind
why-not-handed-back = the machine was not handed back
why-override-left = an override was left latched
why-left-open = a fitting was left open, a prop in place or a lock hanging
why-override-left-and-open = an override was left latched, and a fitting open, a prop in place or a lock hanging
why-loss = lost { $percent } % of what the search should take; { $minutes } min of bench time
why-proved = proved by what was seen and measured
why-declared = right, and as narrow as the tools allow
why-lucky = right but lucky: { $count } suspects were left
why-wrong-but-consistent = wrong, though nothing seen spoke against it
why-contradicted = what was seen had already excluded it
why-no-evidence = the evidence could not be worked out
why-efficiency-withheld = counts only when the fault is found and mended

feedback-gate = A critical act fails the safety gate, whatever the marks: somebody could have been hurt.
feedback-majors = { $count ->
    [one] 1 careless act costs { $marks } marks.
   *[other] { $count } careless acts cost { $marks } marks.
 }
feedback-operate-first = Operate the machine first: the symptom is the first reading.
feedback-write-symptom = Write the symptom down before you touch anything.
feedback-measure-first = Measure before you reach for a spare part.
feedback-sound-parts = { $count ->
    [one] { $parts } was sound: a part is replaced because a reading condemns it.
   *[other] These were sound: { $parts }. A part is replaced because a reading condemns it.
 }
feedback-name-it = Name the fault before you hand back: “name PART FAULT”.
feedback-wrong-part = { $part } was not what was wrong. Ask of every reading which parts it clears, and name a part only when nothing else is left.
feedback-wrong-mode = The part was right, but not what is wrong with it. One more measurement at the part itself would have told.
feedback-try-after-repair = Run a full cycle after a repair, before you hand the machine back.
feedback-does-not-work = At the end the machine still did not do its work.
feedback-write-readings = Write down what you read, and where: a reading that nobody can look up proves nothing to the next shift.
feedback-idle = At { $at } you did “{ $words }”: all { $count } suspects that were left would have shown the same.
feedback-idle-better = At { $at } you did “{ $words }”: all { $count } suspects that were left would have shown the same. “{ $better }” would have divided them.
feedback-lucky = You were right about { $part }, but when you settled on it this explained all that you had seen as well: { $list }.
feedback-lucky-better = You were right about { $part }, but when you settled on it this explained all that you had seen as well: { $list }. “{ $better }” would have told them apart.
feedback-contradicted = You named { $part } “{ $mode }”, but what you saw at { $at } (“{ $words }”) had already excluded it.

search-plain = search: { $verdict }; { $left } of { $suspects } suspects left; lost { $lost } s where { $optimum } s should do
search-declared = search: { $verdict }, and what is left is declared beyond the tools; { $left } of { $suspects } suspects left; lost { $lost } s where { $optimum } s should do
search-proved = proved
search-lucky = right but lucky
search-contradicted = contradicted
search-wrong-but-consistent = wrong but consistent
search-nothing-named = nothing named
search-idle = could tell nothing
search-step = { $before } → { $after } suspects, { $bits } bit

severity-critical = critical
severity-major = major

## Dangerous and careless acts

hazard-opened-under-pressure = Opened under pressure.
hazard-opened-under-pressure-why = More than 0.5 bar stood behind the fitting. Bleed the volume and read a gauge on it first.
hazard-trusted-pump-off = Took a stopped pump for a dead system.
hazard-trusted-pump-off-why = The pump stood still, but a charged accumulator kept the volume under pressure. Bleed the accumulator and read a gauge first.
hazard-opened-under-load = Opened a chamber that carries a load.
hazard-opened-under-load-why = The fluid in it held the load up. Lower the load or put a prop under it first.
hazard-not-isolated = Reached into a machine that was not isolated.
hazard-not-isolated-why = A stop command or a valve at rest is no isolation. Open every isolator that feeds the place.
hazard-not-locked = Left an open isolator without a lock.
hazard-not-locked-why = Anybody could have closed it again. Hang a lock on every isolator that feeds the place.
hazard-not-tried = Did not try to start the isolated machine.
hazard-not-tried-why = A wrong or faulty isolator shows only when somebody tries. Press a start button after locking.
hazard-pressure-unproved = Opened a volume without a gauge reading of zero.
hazard-pressure-unproved-why = Isolating does not take pressure away. Read a gauge on the very volume after isolating.
hazard-tester-unproved = Took a circuit for dead without a proved tester.
hazard-tester-unproved-why = A broken tester shows zero too. Prove it on a live source, test dead, prove it again.
hazard-live-work = Worked on a live part.
hazard-live-work-why = There was voltage at its terminals. Isolate the supply and test dead first.
hazard-ohms-on-live = Set an ohmmeter on a live circuit.
hazard-ohms-on-live-why = It reads nonsense and its fuse blows. Isolate the circuit first.
hazard-ammeter-across-supply = Set an ammeter across a supply.
hazard-ammeter-across-supply-why = An ammeter is a short circuit. Use the clamp, or join the meter in series with the load.
hazard-relief-above-plate = Set a relief above its plate.
hazard-relief-above-plate-why = The relief protects everything behind the pump. Never set it above what its plate says.
hazard-override-against-coil = Pushed an override against the energised coil.
hazard-override-against-coil-why = The two fight, the spool stops halfway, and letting go moves the machine. Take the command away first.
hazard-hand-at-leak = Felt for a leak by hand.
hazard-hand-at-leak-why = A fine jet of oil goes through the skin. Look for a film, use a piece of card.
hazard-fuse-again = Replaced a fuse again without finding why it blew.
hazard-fuse-again-why = A fuse that blows twice has a reason. Find the short first.
hazard-gauge-over-range = Fitted a gauge of too low a range.
hazard-gauge-over-range-why = The pressure was above the end of its scale. Choose a range above the highest pressure that can come.
hazard-restored-open = Restored the energy with a fitting open.
hazard-restored-open-why = Oil or air comes out as soon as something runs. Close every fitting before you restore.
hazard-entered-powered = Stepped into the reach of a machine with its energy on.
hazard-entered-powered-why = Anything can start it: a relay, a spool, a colleague. Isolate, lock, bleed and read a gauge first.
hazard-entered-under-load = Stood under a load that only the fluid holds.
hazard-entered-under-load-why = A hose, a seal or a spool lets it down at once. Lower the load or put a prop under it first.
hazard-energised-on-person = Switched on with a person in the machine.
hazard-energised-on-person-why = Step out, see that nobody is left inside, and only then give the energy back.
hazard-override-on-person = Pushed an override with a person in the machine.
hazard-override-on-person-why = The override moves the machine whatever the control says. Step out first.
hazard-moved-on-person = The machine moved with a person in its reach.
hazard-moved-on-person-why = That is how people are crushed. Nothing may be able to move while anybody is inside.
hazard-guard-bridged = Bridged an interlock, a guard, a stop, a limit or a fuse.
hazard-guard-bridged-why = The lead takes away what keeps people and the machine whole. Find out why it is open instead.
hazard-fuse-too-large = Fitted a fuse of a larger rating than its plate says.
hazard-fuse-too-large-why = Wires and coils now burn before the fuse does. Fit the rating on the plate and find the short.
hazard-gas-loosened = Loosened the gas valve of a charged accumulator.
hazard-gas-loosened-why = The gas throws the valve out. Let the gas down with the charging set first: set the precharge to 0.
hazard-restored-unready = Restored the energy with a prop or a lead still in the machine.
hazard-restored-unready-why = What was put in for the work is thrown out or crushed, or makes something start. Take it out first.
hazard-anothers-lock = Took off a lock that belongs to somebody else.
hazard-anothers-lock-why = Whoever hung it may be inside. Only its owner takes a lock off: call them.
hazard-pump-deadheaded = Left the pump running against its relief for a long time.
hazard-pump-deadheaded-why = All its power heats the oil. Switch the pump off while nothing moves.
hazard-pump-dry = Left the pump running without oil to draw.
hazard-pump-dry-why = It runs on its own film and is worn out in minutes. Stop it and look at the suction side.
hazard-coil-over-duty = Held a coil longer than its duty allows.
hazard-coil-over-duty-why = It is made to be on for a part of the time, and above its thermal class its insulation ages fast and burns. Let it rest.
hazard-override-left = Left an override latched.
hazard-override-left-why = The valve stays shifted whatever the control says. Release every override before handing back.
hazard-left-open = Handed back with a fitting open, a prop or a lead in place, a lock hanging or somebody inside.
hazard-left-open-why = The machine is not fit to run. Put everything back first.

evidence-cracking-pressure = cracking pressure
evidence-current = current
evidence-gas = gas pressure
evidence-isolators-on = isolators on
evidence-minutes = time
evidence-moved = way moved
evidence-open-fittings = open fittings
evidence-opposite-coil = opposite coil
evidence-plate = figure on the plate
evidence-pressure = pressure
evidence-range = range
evidence-rating = rating
evidence-suction = suction pressure
evidence-thermal-class = thermal class
evidence-times = times
evidence-voltage = voltage
evidence-weight = weight
evidence-winding = winding
evidence-without-a-lock = without a lock


## The report of an attempt

attempt-of = Attempt { $attempt } by learner { $learner }
fact-named = Fault named
fact-truth = What was wrong
fact-ended = End
fact-time = Bench time
fact-started = Started
marks-heading = Marks
marks-caption = Marks by criterion, with the reason for each
total = Total
column-criterion = Criterion
column-marks = Marks
column-of = of
column-why = Why
column-time = Time
column-weight = Weight
column-act = Act
column-place = Place
column-instead = Why it is dangerous, and what to do instead
column-action = No.
column-instrument = Instrument
column-reading = Reading
column-done = Done
column-came = What came of it
feedback-heading = What to do better
feedback-none = Nothing to add. Well done.
hazards-heading = Dangerous and careless acts
hazards-caption = Every act that could have hurt somebody or spoilt something; a critical one fails the safety gate
hazards-none = None.
readings-heading = Readings
readings-caption = Every reading, recomputed from the recorded actions; the number is that of the action below
readings-none = No instrument was used.
reading-buzzes = buzzes, { $shown }
reading-silent = silent, { $shown }
reading-spoilt = not valid
instrument-volts = voltmeter
instrument-ohms = ohmmeter
instrument-continuity = continuity
instrument-amps = ammeter
instrument-clamp = clamp
instrument-gauge = pressure gauge
instrument-temperature = thermometer
story-heading = What was done
story-caption = Every action with its bench time and what came of it; readings stand as the instrument showed them
story-cut = { $count ->
    [one] One more action is left out here; the JSON grade has it.
   *[other] { $count } more actions are left out here; the JSON grade has them.
 }
traces-heading = What the machine did
traces-caption = Recomputed from the recorded actions. Dotted lines with numbers mark the actions; shaded gaps are stretches in which next to nothing moved, cut out.
traces-title = Traces of the attempt
traces-desc = { $count ->
    [one] One quantity over bench time
   *[other] { $count } quantities over bench time, one above the other
 }
trace-pressures = Pressures
trace-positions = Positions
trace-currents = Coil currents
action = Action
origin-replayed = This report was made by replaying the recorded actions; every value in it is recomputed. Nothing in the attempt is believed but the actions and their times.
origin-scenario = Scenario digest
origin-end = End digest
origin-seed = Seed
origin-rubric = Rubric version
origin-engine = Made by
safety = Training aid only: data sheets, local codes and the practice of licensed people come first.

## Files for other programs

case-gate = Safety gate
case-gradable = The attempt can be graded

## The report of a class

class-title = Class report: { $scenario }
class-attempts = Attempts
class-competent = Competent
class-gate = Safety gate passed
class-of = { $part } of { $all }
class-marks = Marks
class-minutes = Minutes of bench time
class-spread = median { $median }, from { $low } to { $high }
class-pseudonyms = Learners stand here under pseudonyms; only the instructor can tell who they are.
distribution-heading = Distribution of marks
distribution-caption = Attempts by marks of 100; the dark part of a bar is competent
faults-heading = Faults
faults-caption = How attempts went, by the fault that was in the machine
column-fault = Fault
column-attempts = Attempts
column-part = Part named
column-mode = Fault named
column-mended = Mended
column-competent = Competent
column-mean = Mean marks
criteria-heading = Criteria
criteria-caption = Mean marks by criterion, and how many got all or none of them
column-full = All marks
column-none = No marks
mistakes-heading = What recurs
mistakes-caption = Unsafe acts, wrong diagnoses and habits, those of most learners first
mistakes-none = No mistake was made.
column-kind = Kind
column-mistake = Mistake
column-learners = Learners
column-times = Times
kind-wrong = wrong diagnosis
kind-habit = habit
habit-operate-first = Did not operate the machine first
habit-write-symptom = Wrote no symptom down
habit-measure-first = Reached for spare parts without a measurement
habit-sound-parts = Replaced sound parts
habit-name-it = Named no fault
habit-wrong-part = Named a part that was sound
habit-wrong-mode = Named the right part with the wrong fault
habit-try-after-repair = Did not try the machine after the repair
habit-does-not-work = Left a machine that does not work
habit-write-readings = Wrote no readings down
habit-idle = Looked where nothing could be told
habit-idle-better = Looked where nothing could be told, though another test would have told
habit-lucky = Settled on the right fault too early
habit-lucky-better = Settled on the right fault one test too early
habit-contradicted = Named what a reading had excluded
learners-heading = Learners
learners-caption = Every attempt, in the order of the list
column-learner = Learner
column-verdict = Verdict
column-gate = Safety gate
column-minutes = Minutes
column-unsafe = Unsafe acts
column-named = Named
gate-short-passed = passed
gate-short-failed = failed
named-wrong = wrong
refused-heading = Not graded
refused-note = These files could not be graded; the messages of the run say why.

## Drawings at key moments

scenes-heading = The machine at key moments
scene-symptom = At { $at }, after action { $action }: the symptom.
scene-danger = At { $at }, after action { $action }: somebody could have been hurt.
scene-before-repair = At { $at }, before action { $action }: as it was when the repair began.
scene-end = At { $at }, at the end.
scene-faults = Faults in the machine at this moment, marked with a flash: { $faults }
scene-sound = No fault is in the machine any more.

## Lab sheets

sheet-title = Lab sheet: { $scenario }
sheet-kind = Lab sheet
sheet-written = lab sheet written to { $file }
sheet-who = Who and when
sheet-learner = Learner
sheet-date = Date
sheet-task = Task
sheet-limit = Bench time: at most { $minutes } minutes.
sheet-cautions = Cautions
sheet-isolate = Before anything is opened or touched inside: isolate, lock, release stored energy, read zero on a gauge, prove the tester, test dead.
sheet-stops = A dangerous act ends the exercise at once.
sheet-tools = Tools
sheet-without = This exercise does without: { $tools }.
sheet-parts = Parts
sheet-parts-caption = Parts of the machine with their terminals and ports
sheet-test-points = Points where a gauge fits: { $points }.
sheet-power = Power circuit
sheet-control = Control circuit
sheet-symptom = What the machine does, and what it should do
sheet-readings-caption = Write down what you expect before you measure
sheet-suspects = Suspects
sheet-suspects-caption = Parts that could be at fault, and what speaks for and against each
sheet-isolation = Isolation
sheet-isolation-caption = In this order, before you reach into the machine
sheet-result = Result
sheet-result-caption = To fill in before the machine is handed back
column-tag = Part
column-class = Kind
column-for = What it is for
column-points = Points
column-expected = Expected
column-for-it = Speaks for it
column-against-it = Speaks against it
column-step = Step
column-done-at = Done at
column-initials = Initials
isolation-stop = Stop the machine in its normal way
isolation-open = Open every isolator
isolation-lock = Hang lock and tag on each
isolation-release = Release stored energy: bleed, lower or prop the load
isolation-gauge = Read zero on a gauge at the very volume
isolation-tester = Prove the tester, test dead, prove it again
isolation-try = Try to start: nothing moves
result-part = Faulty part
result-fault = What is wrong with it
result-proof = The readings that prove it
result-repair = What was done
result-retest = Full cycle tried after the repair
result-left = Locks, props, fittings and overrides taken back
tool-multimeter = multimeter
tool-clamp = current clamp
tool-gauges = pressure gauges
tool-thermometer = thermometer
tool-locks = padlocks and tags
tool-screwdriver = screwdriver
tool-spanner = spanner
tool-prop = prop
tool-spares = spare parts
tool-overrides = manual overrides

## The console

console-taken-up = { $count ->
    [one] one action is taken up, to { $at }
   *[other] { $count } actions are taken up, to { $at }
 }
console-written = attempt written to { $file }
console-digest = digest { $digest }
console-caution = caution: { $caution }
console-parts = Parts:
console-wires = Wires:
console-points = Test points: { $points }
console-help = Type help for what you can do, quit to stop. Writing to { $file }
console-more = { $count ->
    [one] ... and one more thing happened
   *[other] ... and { $count } more things happened
 }

## Batches and classes

grades-in = { $attempts ->
    [one] { $attempts } attempt
   *[other] { $attempts } attempts
 }: { $competent } competent, { $not-yet } not yet competent, { $not-graded } not graded; grades are in { $file }
kits-in = { $scenario }: { $count ->
    [one] one kit
   *[other] { $count } kits
 } in { $folder }
kits-faults = { $given ->
    [one] one fault
   *[other] { $given } different faults
 }, of { $all } that cost { $low } to { $high } s to find (the scenario: { $own } s)
kits-key = whose kit is whose stands in { $file }: keep it
grades-progress = graded { $done } of { $total } ({ $percent } %)
kits-band-chosen = the band was chosen: { $band } % either way, the narrowest from { $least } % that holds { $enough } faults or more; it holds { $all }
kits-band-widest = the band was chosen: { $band } % either way; no band up to { $most } % holds more than its { $all ->
    [one] one fault
   *[other] { $all } faults
 }
kits-band-asked = mark the class with the same band: --band "{ $band }"
kits-warning = warning
kits-left-out = the variant { $fault } is left out: { $why }
kits-left-far = it costs { $cost } s to find
kits-left-works = the machine does its work all the same
kits-left-unseen = the functional test shows nothing of it, or it looks like another part's
kits-left-help = declare faults that are as hard as the scenario's own, or widen the band
kits-few = there are only { $all } faults as hard as one another for { $learners } learners
kits-few-wider = declare more variants, or widen the band: --band "{ $band } %" holds { $wanted }
kits-few-other = declare more variants, or take another scenario of this machine

## The timeline of a run

run-title = { $title }, seed { $seed }
run-danger = DANGER { $what }
event-operated = { $part } is operated
event-let-go = { $part } is let go
event-turns-on = { $part } turns on
event-turns-off = { $part } turns off
event-picks-up = { $part } picks up
event-drops-out = { $part } drops out
event-set = { $part } is set
event-reset = { $part } is reset
event-has-counted = { $part } has counted to its preset
event-counts-anew = { $part } counts from zero again
event-acts = { $part } acts
event-goes-back = { $part } goes back
event-closes = contact { $part } closes
event-opens = contact { $part } opens
event-blows = fuse { $part } blows
event-burns = coil { $part } burns open
event-spool-leaves = { $part } leaves { $position }
event-spool-reaches = { $part } reaches { $position }
event-leaves-extended = { $part } leaves its extended end
event-leaves-retracted = { $part } leaves its retracted end
event-extended = { $part } is extended
event-retracted = { $part } is retracted
event-lights = lamp { $part } lights
event-goes-out = lamp { $part } goes out
event-pump-starts = pump { $part } starts
event-pump-stops = pump { $part } stops
event-plc-runs = controller { $part } runs
event-plc-stops = controller { $part } stops
event-altered = { $part } is altered
position-a = position a
position-b = position b
position-rest = its rest position
position-centre = its centre

## The demonstration, a new folder, a check

demo-learner = == the { $learner } learner ==
demo-careful = careful
demo-hasty = hasty
demo-written = attempts, grades and traces are in { $folder }
demo-digest = digest { $learner } { $digest }
starter-try = Go there and try, in this order:
starter-then = Then change what the comments speak of, and check again.
check-errors = { $count ->
    [one] 1 error
   *[other] { $count } errors
 }
check-remarks = { $count ->
    [one] 1 remark
   *[other] { $count } remarks
 }
check-both = { $errors }, { $remarks }
check-nothing = no problems
lint-nothing = no advice
lint-pieces = { $count ->
    [one] 1 piece of advice
   *[other] { $count } pieces of advice
 }
lint-of = { $file }: { $advice }, { $accepted } accepted
lint-accepted = accepted: { $reason }

## Testability

testability-steps = { $faults } faults, { $steps } operating steps:
testability-looks = { $before } observations, of which { $tests } differ from one another and tell anything
testability-failed = could not be simulated: { $fault }: { $why }
testability-detected = detected: { $weighted } % by prior weight, { $counted } % counted (of all { $faults } faults)
testability-isolated = isolated to { $level ->
    [one] 1 repair
   *[other] { $level } repairs
 } or fewer: { $weighted } % by prior weight, { $counted } % counted (of the detected)
testability-silent = no sign in any of these steps: { $faults }
testability-groups = ambiguity groups of several repairs: { $count }
testability-needless = tests that only repeat another: { $redundant }; that read the same whatever is wrong: { $idle } (--json lists them)
testability-no-pairs = pairs of faults: none listed in the scenario; single faults assumed
testability-pairs = pairs of faults, simulated together: { $count }
testability-pair-told = told from each alone
testability-pair-hidden = { $fault } is hidden
testability-pair-either = looks like each alone
testability-pair-mimics = false failure: looks like { $fault }
testability-unsolved = best sequence: not worked out: { $why }
testability-sequence = best sequence, a fault being present: { $cost } s of measuring on average; no sequence does better than { $bound } s; gap { $gap } %; { $proof }
testability-proven = proven best
testability-unproven = not proven best
testability-more = ... { $count ->
    [one] 1 more line
   *[other] { $count } more lines
 }; --tree shows all

## Interlocks

interlock-extent = all { $states } states, { $transitions } transitions, depth { $depth }
interlock-extent-cut = explored { $states } states to depth { $depth }, not exhausted
interlock-holds = holds
interlock-undecided = undecided
interlock-not-checked = not checked
interlock-broken = broken
interlock-latent = latent
interlock-never = never: { $list }
interlock-both = the coils of { $part } are never both on
interlock-both-settled = the coils of { $part } are never both on once the relays have settled
interlock-all-out = without supply every relay is out
interlock-safe-held = without supply { $part } stands still
interlock-safe-in = without supply { $part } moves at most in
interlock-safe-out = without supply { $part } moves at most out
interlock-no-restart = { $output } when the supply returns or an emergency stop is released
interlock-coil-stays = { $part } stays off
interlock-pump-stays = { $part } does not start
interlock-axis-stays = { $part } does not move
interlock-relay-stays = { $part } stays out
interlock-stop = while { $part } is held, what it switches off stays off
interlock-rests = the relays come to rest
interlock-no-race = the order in which relays move does not matter
interlock-reachable = everything can be reached
interlock-no-trap = the start can be reached again from everywhere
interlock-no-switch = no supply can be switched off
interlock-no-return = nothing can return or be released
interlock-stops-nothing = it switches no coil off
interlock-too-many = more than { $count } transitions
interlock-never-on = the coil of { $part } is never on
interlock-never-acts = { $part } never acts
interlock-never-to-a = { $part } never shifts to a
interlock-never-to-b = { $part } never shifts to b
interlock-never-retracted = { $part } never reaches its retracted end
interlock-never-extended = { $part } never reaches its extended end
interlock-welded = { $part } is welded, and forced apart
interlock-conducts = { $part } always conducts
interlock-dead = { $part } never conducts
interlock-wire-off = the wire { $from } to { $to } is off
interlock-stuck-acted = { $part } is stuck acted
interlock-stuck-rest = { $part } is stuck at rest
interlock-spool-sticks = the spool of { $part } sticks
interlock-from-start = from the start
interlock-arising = arising at any moment
interlock-faults = { $count } single faults { $when }: { $harmless } break nothing that holds without them
interlock-fault-when = { $fault } { $when }
interlock-with = with one fault, { $name }: { $extent }
interlock-with-fault = with one fault: { $fault }
interlock-other-order = or, in another order:
interlock-again = and again and again:
interlock-normal = in normal operation (supply on, one hand at a time, no emergency stop) { $shown } of { $count } single faults show, { $latent } are latent, { $open } are undecided
interlock-claim = This is claimed of the discrete model only: relays, contacts, timers, spools and axes without times, currents or pressures. Each break was tried on the full simulation.
story-with = { $said }; { $coil }
story-solenoid-on = { $part } on
story-solenoid-off = { $part } off
story-coil-on = coil { $part } on
story-coil-off = coil { $part } off
story-supply-returns = the supply returns
story-supply-fails = the supply fails
story-press = press { $part }
story-let-go = let go of { $part }
story-push-in = push in { $part }
story-release = release { $part }
story-close = close { $part }
story-open = open { $part }
story-turn-on = turn { $part } on
story-turn-off = turn { $part } off
story-starts-timing = { $part } starts timing
story-times-release = { $part } starts timing its release
story-together = the relays follow all at once
story-flashes-acts = { $part } flashes, its contacts act
story-flashes-returns = { $part } flashes, its contacts return
story-timed-acts = { $part } has timed out, its contacts act
story-timed-returns = { $part } has timed out, its contacts return
story-shifts-a = { $part } shifts to a
story-shifts-b = { $part } shifts to b
story-shifts-rest = { $part } shifts to rest
story-reaches-retracted = { $part } reaches its retracted end
story-reaches-extended = { $part } reaches its extended end
story-moves-out = { $part } moves out to between { $low } and { $high } mm
story-moves-in = { $part } moves in to between { $low } and { $high } mm
story-lets-go = { $part } lets go
story-fault = fault: { $fault }
replay-line = simulation: { $said }
replay-see = to see it: { $command }
replay-nominal = confirmed at { $at } with nominal parts
replay-seed = confirmed at { $at } with the tolerances of seed { $seed }
replay-unconfirmed = not confirmed, so a break of the model only: { $why }
replay-failed = could not be tried: { $why }
replay-step = step { $step }: { $why }
replay-missed = "{ $step }" does not happen
replay-unbroken = every step could be done, and the property did not break
replay-all-alike = { $runs } runs with different tolerances all end alike

## Drills

drill-question = Question { $number } of { $count }: { $machine }
drill-proof = What is then done: { $steps }
drill-prompt = Your prediction:
drill-none = say one of the letters a to { $last }
drill-bench = The bench:
drill-right = Right, { $letter }: { $choice }
drill-wrong = You said { $said }; the bench shows { $letter }: { $choice }
drill-sum = { $right } of { $count } predicted
drill-left = { $count ->
    [one] one question is left
   *[other] { $count } questions are left
 }

## How the suspects became fewer

seconds = { $seconds } s
and-more = { $count ->
    [one] { $list }; and one more
   *[other] { $list }; and { $count } more
 }
narrowing-heading = How the suspects became fewer
narrowing-verdict = Evidence
narrowing-committed = Settled on a fault at
narrowing-left = Suspects left then
narrowing-optimum = Best search, on average
narrowing-regret = Lost against it
narrowing-idle = Looks that could tell nothing
narrowing-curve = Suspects that explain everything seen so far, after each action that could tell something; a ring marks one that could tell nothing
narrowing-caption = What each observation told; the number is that of the action below
narrowing-desc = From { $from } suspects to { $to }
evidence-verdict-proved = proved: nothing else explains what was seen
evidence-verdict-declared = right, and as narrow as the tools at hand allow
evidence-verdict-lucky = right, but lucky: other faults explain what was seen as well
evidence-verdict-contradicted = what was seen had already excluded it
evidence-verdict-consistent = wrong, though nothing that was seen spoke against it
evidence-verdict-nothing = no fault was named
column-suspects = Suspects
column-bits = Bits
column-told = What it told
told-nothing = Could tell nothing: every suspect would have shown the same.
told-marginal = Too close to call.
told-excluded = Excluded: { $list }
told-better = “{ $test }” would have divided them.
kind-idle = could tell nothing

## What is seen, heard, felt and smelt at the bench

seen-at = { $at } { $event }
seen-clicks = { $part } clicks
seen-thuds = { $part } thuds
seen-begins-to-extend = { $part } begins to extend
seen-begins-to-retract = { $part } begins to retract
seen-extended = { $part } is extended
seen-retracted = { $part } is retracted
seen-lights = { $part } lights
seen-goes-out = { $part } goes out
seen-starts = { $part } starts
seen-stops = { $part } stops
seen-smoke = smoke at { $part }
seen-plc-runs = { $part } shows RUN; lit: { $inputs ->
    [none] no I
   *[other] { $inputs }
 }, { $outputs ->
    [none] no Q
   *[other] { $outputs }
 }
seen-plc-stands = { $part } shows STOP or dark; lit: { $inputs ->
    [none] no I
   *[other] { $inputs }
 }, { $outputs ->
    [none] no Q
   *[other] { $outputs }
 }
seen-lit = { $part } is lit
seen-dark = { $part } is dark
seen-blown = the indicator of { $part } shows blown
seen-whole = the indicator of { $part } shows whole
seen-closed = { $part } is closed
seen-open = { $part } is open
seen-shut = { $part } is shut
seen-on = { $part } is on
seen-off = { $part } is off
seen-turned-on = { $part } is turned on
seen-turned-off = { $part } is turned off
seen-pulled-in = { $part } is pulled in
seen-dropped-out = { $part } is dropped out
seen-set = { $part } is set
seen-reset = { $part } is reset
seen-pushed = { $part } is pushed
seen-free = { $part } is free
seen-tripped = the overload relay of { $part } is tripped
seen-ready = the overload relay of { $part } is ready
seen-dial = its dial stands at { $amps } A
seen-count = { $part } shows { $count }
seen-cam = { $part } sits where the rod strikes it at { $at } mm
seen-burnt = { $part } is scorched and smells burnt
seen-overrides-out = the overrides of { $part } are out
seen-override-in = override { $side } of { $part } is pushed in
seen-override-pulled = override { $side } of { $part } is pulled out
seen-override-turned = override { $side } of { $part } is turned in
seen-rod = the rod of { $part } is { $at } mm out of { $stroke } mm
seen-prop = a prop stands under { $part }
seen-shaft-stands = the shaft of { $part } stands
seen-shaft-with-arrow = the shaft of { $part } turns with the arrow
seen-shaft-against-arrow = the shaft of { $part } turns against the arrow
seen-film = there is a film of oil at { $part }
seen-nothing = nothing to see at { $part }
seen-your-lock = your lock hangs on { $part }
seen-your-tag = your tag hangs on { $part }
seen-others-lock = a lock that is not yours hangs on { $part }
heard-buzzes = { $part } buzzes loudly
heard-hums = { $part } hums
heard-runs = { $part } runs
heard-silent = { $part } is silent
heard-oil = oil rushes through { $part }
heard-air = air hisses through { $part }
heard-hiss = something hisses at { $part }
heard-nothing = nothing to hear at { $part }
felt-cold = { $part } is no warmer than the room
felt-hand-warm = { $part } is hand-warm
felt-hot = { $part } is hot
felt-too-hot = { $part } is too hot to keep a hand on
felt-trembles = { $part } trembles
felt-rush = something rushes through { $part }
felt-oil = oil comes out at { $part }
felt-air = air blows at { $part }
felt-nothing = nothing comes out at { $part }

## What came of an action

done-inside = you stand in the reach of { $part }
done-clear = you are clear of { $part }
done-not-inside = you were not in the reach of { $part }
done-nobodys-lock = no lock of anybody else hangs on { $part }
done-owner-unlocks = its owner comes, has done, and takes the lock off { $part }
done-lock-cut = the lock is off { $part }
done-lead-on = a lead joins { $red } to { $black }
done-lead-off = the lead is off { $red } to { $black }
done-no-lead = no lead lies across { $red } to { $black }
done-fuse = a fuse of { $amps } A is fitted at { $part }
done-gas = gas shoots out at { $part }
done-no-gas = no gas comes out at { $part }
done-was-not-open = { $part } was not open
done-fitted = a new { $part } is fitted
done-mended = { $part } is mended
done-plugs = the plugs of { $part } are exchanged
done-clean = { $part } is clean
done-set = { $part } is set
done-not-open = { $part } is closed; only an open isolator takes a lock
done-not-off = { $part } is on; only an isolator that is off takes a lock
done-unlocked = your lock is off { $part }
done-no-lock = no lock of yours hangs on { $part }
done-lock-holds = { $part } does not turn: a lock hangs on it
done-others-lock-holds = { $part } does not turn: somebody else's lock hangs on it
done-proved = the tester shows the voltage of its proving unit
done-starts = something starts
done-nothing-starts = nothing starts
done-bleed-hardly = hardly any { $fluid ->
    [oil] oil
   *[air] air
 } comes out at { $at }
done-bleed-stops = { $fluid ->
    [oil] oil
   *[air] air
 } comes out at { $at }, then stops
done-bleed-goes-on = { $fluid ->
    [oil] oil
   *[air] air
 } comes out at { $at } and does not stop
done-handed-back = the machine is handed back
done-stopped = That was dangerous. The exercise stops here.
done-time-up = Time is up.

## What instruments and nameplates show

shown-at = { $at }: { $shown }
shown-between = { $red } to { $black }: { $shown }
shown-value = { $value } { $unit }
shown-fuse-blows = the meter's fuse blows
shown-gauge = { $value } bar ({ $range } bar gauge)
shown-vacuum-gauge = { $value } bar (vacuum gauge)
shown-beyond = against its stop beyond { $range } bar
shown-pointer-hangs = the pointer hangs, the gauge is spoilt
plate-of = { $part }: { $class }
plate-of-titled = { $part }: { $class }, { $title }
plate-line = { $label }: { $stamped }

## Labels of nameplates

plate-acts = acts
plate-acts-at = acts at
plate-bore-length = bore / length
plate-bore-rod-stroke = bore / rod / stroke
plate-coil = coil
plate-current = current
plate-diameter = diameter
plate-displacement = displacement
plate-drive = drive
plate-duty = duty
plate-flow = flow
plate-frequency-limits = frequency limits
plate-gas-volume = gas volume
plate-holds = holds
plate-impedance = impedance
plate-indicator = indicator
plate-inertia = inertia
plate-input = input
plate-inputs = inputs
plate-inrush = inrush
plate-lamp = lamp
plate-leakage = leakage
plate-least-pilot-pressure = least pilot pressure
plate-maximum-inlet = maximum inlet
plate-motor = motor
plate-open-at-the-start = open at the start
plate-operating-limit = operating limit
plate-output = output
plate-output-clamp = output clamp
plate-outputs = outputs
plate-overload-relay = overload relay
plate-override = override
plate-pilot-and-drain = pilot and drain
plate-pilot-pressure-check = pilot-pressure check
plate-pilot-ratio = pilot ratio
plate-precharge = precharge
plate-preset = preset
plate-pressure = pressure
plate-pressure-drop = pressure drop
plate-primary = primary
plate-program = program
plate-rated-flow = rated flow
plate-rating = rating
plate-resistance-at-20-degc = resistance at 20 degC
plate-response = response
plate-rest = rest
plate-sealed = sealed
plate-seat = seat
plate-secondary = secondary
plate-separator = separator
plate-setting = setting
plate-solenoids = solenoids
plate-sonic-conductance = sonic conductance
plate-speed = speed
plate-suction-vacuum = suction / vacuum
plate-supply = supply
plate-synchronous-within = synchronous within
plate-voltage = voltage
plate-voltage-limits = voltage limits
plate-volume = volume

## Words on nameplates

stamp-from = from
stamp-to = to
stamp-at = at
stamp-at-the-rated-flow = at the rated flow
stamp-below-the-air = below the air
stamp-without-reserve = without reserve
stamp-spring-offset = spring offset
stamp-spring-centred = spring centred
stamp-detented = detented
stamp-internal = internal
stamp-external = external
stamp-and = and
stamp-nitrogen = nitrogen
stamp-rising = rising
stamp-standing = standing
stamp-class = class
stamp-sinking = sinking
stamp-sourcing = sourcing
stamp-transistor = transistor
stamp-relay = relay
stamp-triac = triac
stamp-on = on
stamp-off = off
stamp-within = within
stamp-yes = yes
stamp-no = no
stamp-piston = piston
stamp-bladder = bladder
stamp-push = push
stamp-pull = pull
stamp-turn = turn
stamp-push-or-latch = push or latch
stamp-pull-or-latch = pull or latch
stamp-pressure-centred = pressure centred
stamp-with-its-load = with its load
stamp-of-each-port = of each port
stamp-none = none

## Why an action was not done

refused-no-part = there is no part "{ $name }"
refused-no-part-like = there is no part "{ $name }"; did you mean "{ $nearest }"?
refused-no-point = there is no point "{ $name }"
refused-no-point-like = there is no point "{ $name }"; did you mean "{ $nearest }"?
refused-not-for-that = "{ $verb }" is nothing for { $part }, which is a { $class }
refused-no-tool = this exercise does without the tool for that: { $tool }
refused-too-early = the action begins at { $at }, but the bench is already at { $now }
refused-too-many-actions = an attempt has at most { $most } actions
refused-too-much-text = an attempt has at most { $most } bytes of text
refused-ended = the attempt has ended
refused-broken = { $why }
refused-comma = "{ $text }" has a comma; write it with a decimal point, as in "{ $example }"
refused-no-unit = "{ $text }" has no unit; write it as in "{ $example }"
refused-out-of-range = "{ $text }" is out of range
refused-no-value = "{ $text }" is no such value; write it as in "{ $example }"
refused-no-gauge = there is no { $range } bar gauge; there are some to { $ranges } bar, and 1 stands for the vacuum gauge
refused-no-override = { $part } has no manual override
refused-override-knows = the override of { $part } knows only: { $words }
refused-override-a-only = { $part } has an override on side a only
refused-no-lead = a lead goes across one contact, fuse or wire, and { $red } and { $black } are not the ends of any
refused-no-fuse = there are fuses of 50 mA to 63 A
refused-no-fault = { $part } cannot have "{ $fault }"; nothing of it can fail
refused-fault-like = { $part } cannot have "{ $fault }"; did you mean "{ $nearest }"?
refused-fault = { $part } cannot have "{ $fault }"; it can have: { $known }
refused-open-anyway = { $at } stands open to the tank or the air anyway
refused-no-wire = there is no wire at { $at } to clamp
refused-no-setting = { $part } ({ $class }) has no setting "{ $name }"
refused-regulator = that cannot be set; it turns to twice its plate
refused-screw = that cannot be set; it turns from 1 bar to half above the plate
refused-charge = that cannot be set; the charging set gives up to half above the plate
refused-opening = that cannot be set; it turns from 0 to 200 %
refused-dial = that cannot be set; its dial goes from half of its plate to half above it
refused-trimmer = that cannot be set; its trimmer goes from 5 to 500 %
refused-null = that cannot be set; its screw goes to 50 % either way
refused-switch = that cannot be set; it turns to three times its nominal pressure
refused-count = that cannot be set; its wheels go from 1 to 9999
refused-rail = that cannot be set; the rail is as long as the stroke
refused-time = that cannot be set; the dial goes from 1 ms to 10 h

## Why a line is no action

typed-long = a line has at most { $most } bytes
typed-less = write less
typed-lines = a list has { $most } lines at the most
typed-nothing = nothing is written
typed-a-verb = write a verb, or help
typed-no-verb = "{ $word }" is no verb
typed-like = did you mean "{ $nearest }"? Write help for all verbs
typed-help = write help for all verbs
typed-too-many = "{ $word }" is one word too many
typed-as = write { $form }, such as "{ $example }"
typed-moment = write the time as in "12 s: press S1"
typed-no-range = "{ $range }" is no range in whole bar
typed-no-choice = "{ $word }" is not { $choices }
typed-missing-choice = { $choices } is missing
typed-missing-part = the part is missing
typed-missing-time = the time is missing
typed-missing-first-point = the first point is missing
typed-missing-second-point = the second point is missing
typed-missing-terminal = the terminal or part is missing
typed-missing-test-point = the test point or port is missing
typed-missing-setting = the setting is missing
typed-missing-value = the value is missing
typed-missing-part-or-point = the part or test point is missing
typed-missing-port = the port is missing
typed-missing-rating = the rating is missing
typed-missing-prediction = the prediction is missing
typed-missing-note = the note is missing
typed-missing-fault = the fault is missing

## What each verb does

verb-press = Push a button for 0.3 s; an emergency stop stays in
verb-hold = Push a button and keep it pushed
verb-both = Push two buttons at once, one with each hand, and keep them pushed
verb-release = Let go of it; pull an emergency stop out
verb-turn = Turn a selector or the handle of an isolator
verb-wait = Let bench time pass
verb-look = Lamp, rod, override, handle, blown fuse, oil film
verb-listen = Hum, buzz, rushing oil, hissing air
verb-feel = Warmth and buzzing of a part; at a port, the fitting itself
verb-plate = Read the nameplate
verb-volts = Voltage of the first point against the second
verb-ohms = Resistance between two points; the circuit must be dead
verb-continuity = Whether two points are joined; the circuit must be dead
verb-amps = Current with the meter joining two points, as across an open fuse
verb-clamp = Current into a terminal, or through a wire or a coil
verb-gauge = Pressure at a test point or port, or of an accumulator's gas as AC1:gas; the first reading there takes the time to fit it
verb-temperature = Temperature of the surface
verb-override = Work the manual override of a valve
verb-swap-plugs = Exchange the plugs of solenoids a and b
verb-adjust = Change a setting: pressure, position, time, opening, precharge, count, current, gain, ramp
verb-isolate = Open an isolator
verb-restore = Close an isolator
verb-lock = Hang your padlock on an open isolator
verb-unlock = Take your padlock away
verb-tag = Hang a tag on an isolator
verb-try = Press a start button to see that nothing starts
verb-prove = Prove the voltage tester on a source known to be live
verb-bleed = Open a bleed screw for 30 s, then close it
verb-prop = Put a prop under its load
verb-unprop = Take the prop away
verb-open = Open the fitting of a port
verb-close = Close it again
verb-replace = Fit a new part; small parts take 2 min, large ones 30 min
verb-repair = Mend a wire and its ends
verb-clean = Take a valve or contacts apart, clean them, put them back
verb-enter = Step into the reach of what it moves
verb-leave = Step out of it again
verb-bridge = Clip a jumper lead across a contact, a fuse or a wire
verb-unbridge = Take the lead away
verb-fit = Fit a fuse link of that rating
verb-loosen = Loosen its gas valve
verb-call = Ask the owner of the lock on it to come and take it off
verb-cut = Take off a lock that is not yours
verb-predict = Say what the next step should show
verb-note = Write a note
verb-suspect = Name the parts still under suspicion
verb-name = Name the fault
verb-hand-back = Hand the machine back; the attempt ends

## What a learner does, in the words that are typed

act-both = press both { $what }
act-press = press { $what }
act-hold = hold { $what }
act-release = release { $what }
act-turn = turn { $what }
act-wait = wait { $what }
act-look = look { $what }
act-listen = listen { $what }
act-feel = feel { $what }
act-plate = plate { $what }
act-volts = volts { $what }
act-ohms = ohms { $what }
act-continuity = continuity { $what }
act-amps = amps { $what }
act-clamp = clamp { $what }
act-gauge = gauge { $what }
act-temperature = temperature { $what }
act-override = override { $what }
act-swap-plugs = swap plugs { $what }
act-adjust = adjust { $what }
act-isolate = isolate { $what }
act-restore = restore { $what }
act-lock = lock { $what }
act-unlock = unlock { $what }
act-tag = tag { $what }
act-try = try { $what }
act-bleed = bleed { $what }
act-prop = prop { $what }
act-unprop = unprop { $what }
act-open = open { $what }
act-close = close { $what }
act-replace = replace { $what }
act-repair = repair { $what }
act-clean = clean { $what }
act-enter = enter { $what }
act-leave = leave { $what }
act-bridge = bridge { $what }
act-unbridge = unbridge { $what }
act-fit = fit { $what }
act-loosen = loosen { $what }
act-call = call { $what }
act-cut = cut { $what }
act-predict = predict { $what }
act-note = note { $what }
act-suspect = suspect { $what }
act-name = name { $what }
act-prove = prove
act-hand-back = hand back
act-isolated = { $act }, isolated
act-isolated-and-locked = isolated and locked
act-after = { $act } after { $step }. { $steps }
word-on = on
word-off = off
word-push = push
word-pull = pull
word-turn = turn
word-latch = latch
word-release = release
word-vacuum = vacuum
word-pressure = pressure
word-position = position
word-time = time
word-opening = opening
word-null = null
word-precharge = precharge

## What a part can have

fault-in = { $part } { $mode } { $place }
mode-nothing = no fault
mode-open = open
mode-shorted-turns = shorted-turns
mode-wrong-coil = wrong-coil
mode-diode-reversed = diode-reversed
mode-diode-shorted = diode-shorted
mode-diode-open = diode-open
mode-welded = welded
mode-bypassed = bypassed
mode-never-closes = never-closes
mode-high-resistance = high-resistance
mode-broken = broken
mode-loose = loose
mode-to-earth = to-earth
mode-blown = blown
mode-overrated = overrated
mode-weak = weak
mode-primary-open = primary-open
mode-secondary-open = secondary-open
mode-wrong-tap = wrong-tap
mode-dead = dead
mode-set-low = set-low
mode-set-high = set-high
mode-phase-lost = phase-lost
mode-stuck-set = stuck-set
mode-stuck-reset = stuck-reset
mode-stuck-full = stuck-full
mode-stuck-empty = stuck-empty
mode-misset = misset
mode-low = low
mode-stuck-in = stuck-in
mode-stuck-out = stuck-out
mode-stuck-made = stuck-made
mode-stuck-open = stuck-open
mode-detached = detached
mode-misadjusted = misadjusted
mode-stuck = stuck
mode-silted = silted
mode-broken-spring = broken-spring
mode-worn-detent = worn-detent
mode-override-a = override-a
mode-override-b = override-b
mode-plugs-swapped = plugs-swapped
mode-leaking = leaking
mode-blocked = blocked
mode-stuck-shut = stuck-shut
mode-wide-open = wide-open
mode-worn = worn
mode-jammed = jammed
mode-overloaded = overloaded
mode-reversed = reversed
mode-sheared = sheared
mode-slow = slow
mode-seal-leak = seal-leak
mode-friction = friction
mode-cushion-worn = cushion-worn
mode-lost-precharge = lost-precharge
mode-over-precharged = over-precharged
mode-null-shift = null-shift
mode-burst = burst
mode-flooded = flooded
mode-stiff-seal = stiff-seal
mode-piston-stuck = piston-stuck
mode-free-air = free-air
mode-clogged = clogged
mode-creeping = creeping
mode-stuck-slow = stuck-slow
mode-no-slow = no-slow
mode-transducer-off = transducer-off
mode-slow-ramp = slow-ramp
mode-gain-low = gain-low
mode-stuck-on = stuck-on
mode-stuck-off = stuck-off
mode-halted = halted
mode-slow-scan = slow-scan
mode-high-threshold = high-threshold

## Where in a part

role-ball = ball
role-bridge = bridge
role-bypass = bypass
role-drain = drain
role-element = element
role-gate = gate
role-indicator = indicator
role-lip = lip
role-motor = motor
role-nozzle = nozzle
role-orifice = orifice
role-overload = overload
role-piece = piece
role-poppet = poppet
role-stage = stage
role-suction = suction
role-trip = trip
role-tube = tube
role-windings = windings
role-air = air
role-amplifier = amplifier
role-armature = armature
role-backflow = backflow
role-bellows = bellows
role-bond = bond
role-bore = bore
role-call = call
role-cam = cam
role-check = check
role-coil = coil
role-compensator = compensator
role-core = core
role-drive = drive
role-electronics = electronics
role-fuse = fuse
role-gas = gas
role-handle = handle
role-head = head
role-insulation = insulation
role-lamp = lamp
role-leak = leak
role-leakage = leakage
role-main = main
role-main-spool = main spool
role-pilot-check = pilot check
role-outlet = outlet
role-pilot = pilot
role-piston = piston
role-processor = processor
role-pump = pump
role-regulator = regulator
role-relief = relief
role-silencer = silencer
role-source = source
role-spool = spool
role-throttle = throttle
role-face = face
role-output = output
role-pulse = pulse
role-reset = reset
role-set = set
role-slow = slow
role-start = start
role-way = way
role-works = works
role-wall = wall

## Kinds of parts

part-AcSupply = AC supply
part-Accumulator = accumulator
part-AirCylinder = air cylinder
part-AirIsolator = air isolator
part-AirSupply = air supply
part-AirValve = air valve
part-Check = check valve
part-CircuitBreaker = circuit breaker
part-Counter = counter
part-Counterbalance = counterbalance valve
part-Cylinder = cylinder
part-DcSupply = DC supply
part-EmergencyStop = emergency stop
part-Filter = filter
part-FlowControl = one-way flow control
part-FlowRegulator = flow control
part-Fuse = fuse
part-HandSlide = hand slide
part-Hose = hose
part-HydraulicMotor = hydraulic motor
part-Isolator = main switch
part-Lamp = lamp
part-LatchingRelay = latching relay
part-LimitSwitch = limit switch
part-MotorStarter = motor starter
part-OilShuttle = shuttle valve
part-PilotCheck = pilot-operated check valve
part-PilotRelief = pilot-operated relief valve
part-Plc = controller
part-PoppetValve = poppet valve
part-PressureSwitch = pressure switch
part-ProportionalValve = proportional valve
part-ProximitySwitch = proximity switch
part-Pump = pump
part-PushButton = push-button
part-QuickExhaust = quick exhaust
part-Receiver = receiver
part-Rectifier = rectifier
part-Reducing = reducing valve
part-Regulator = service unit
part-Relay = relay
part-Relief = relief valve
part-Selector = selector
part-Sequence = sequence valve
part-Shuttle = shuttle valve
part-Silencer = silencer
part-SoftStart = slow-start valve
part-Strainer = strainer
part-SuctionCup = suction cup
part-Tank = tank
part-TerminalBlock = terminals
part-ServoValve = servo valve
part-StopValve = shut-off valve
part-Throttle = throttle
part-ThrottleCheck = one-way throttle
part-Transformer = transformer
part-Tube = tube
part-TwoHand = two-hand control
part-TwoStageValve = pilot-operated valve
part-Unloading = unloading valve
part-VacuumEjector = vacuum ejector
part-VacuumSwitch = vacuum switch
part-Valve = directional valve
part-VariablePump = variable pump
part-Wire = wire
