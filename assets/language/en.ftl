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
traces-caption = Recomputed from the recorded actions. Dotted lines with numbers mark the actions; shaded gaps are stretches in which nothing moved, cut out.
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
mode-nothing = nothing
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
