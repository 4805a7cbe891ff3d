# Text for people, German. The same messages with the same gaps as the English catalogue.

## Grades

verdict-competent = bestanden
verdict-not-yet-competent = noch nicht bestanden
gate-passed = Sicherheitsprüfung bestanden
gate-failed = Sicherheitsprüfung NICHT bestanden
marks-of = { $marks } von { $most } Punkten
minutes = { $minutes } min
nothing = nichts
named = benannt
truth = tatsächlich

ended-handed-back = übergeben
ended-unsafe = wegen Gefahr abgebrochen
ended-time-up = die Zeit war um
ended-broken = die Maschine konnte nicht weiterlaufen
ended-never = nie übergeben

criterion-symptom = Symptom
criterion-method = Vorgehen
criterion-part = Fehlerhaftes Teil
criterion-mode = Was daran falsch ist
criterion-evidence = Beweis
criterion-repair = Instandsetzung
criterion-hand_back = Übergabe
criterion-efficiency = Zeitaufwand
criterion-symptom-asks = vor dem ersten Eingriff bedient und beobachtet, Symptom aufgeschrieben
criterion-method-asks = wählte Prüfungen mit Aussage; tauschte kein heiles Teil
criterion-part-asks = das fehlerhafte Teil benannt
criterion-mode-asks = benannt, was daran falsch ist
criterion-evidence-asks = bewies ihn durch Beobachten und Messen und schrieb es auf
criterion-repair-asks = den Fehler behoben und die Maschine danach erprobt
criterion-hand_back-asks = nichts zurückgelassen und die Maschine übergeben
criterion-efficiency-asks = verlor wenig Zeit gegenüber den besten nächsten Prüfungen

why-operated-and-noted = zuerst bedient und das Symptom aufgeschrieben
why-operated-only = zuerst bedient, nichts aufgeschrieben
why-noted-only = etwas aufgeschrieben, nicht zuerst bedient
why-neither-operated-nor-noted = vor dem Eingriff weder bedient noch etwas aufgeschrieben
why-method = { $readings ->
    [one] 1 Messung
   *[other] { $readings } Messungen
 } vor dem ersten Eingriff, davon { $idle } ohne Aussage, { $sound ->
    [one] 1 heiles Teil
   *[other] { $sound } heile Teile
 } getauscht
why-named = { $what } benannt
why-nothing-named = kein Fehler wurde benannt
why-works-and-tried = die Maschine läuft und wurde nach der Instandsetzung erprobt
why-works-not-tried = die Maschine läuft, wurde aber nach der Instandsetzung nicht erprobt
why-does-not-work = die Maschine tut nicht, was sie soll
why-handed-back = übergeben, nichts blieb zurück
why-not-handed-back = die Maschine wurde nicht übergeben
why-override-left = eine Handhilfsbetätigung blieb eingerastet
why-left-open = eine Verschraubung blieb offen, eine Stütze gesetzt oder ein Schloss hängen
why-override-left-and-open = eine Handhilfsbetätigung blieb eingerastet, dazu eine Verschraubung offen, eine Stütze gesetzt oder ein Schloss hängen
why-loss = { $percent } % der Zeit verloren, die die Suche brauchen sollte; { $minutes } min am Stand
why-proved = durch Beobachten und Messen bewiesen
why-declared = richtig, und so eng, wie die Werkzeuge es erlauben
why-lucky = richtig, aber mit Glück: { $count } Verdachte waren noch offen
why-wrong-but-consistent = falsch, doch nichts Gesehenes sprach dagegen
why-contradicted = das Gesehene hatte es schon ausgeschlossen
why-no-evidence = die Beweislage ließ sich nicht berechnen
why-efficiency-withheld = zählt nur, wenn der Fehler gefunden und behoben ist

feedback-gate = Eine kritische Handlung verfehlt die Sicherheitsprüfung, gleich wie viele Punkte: Jemand hätte verletzt werden können.
feedback-majors = { $count ->
    [one] 1 fahrlässige Handlung kostet { $marks } Punkte.
   *[other] { $count } fahrlässige Handlungen kosten { $marks } Punkte.
 }
feedback-operate-first = Zuerst die Maschine bedienen: Das Symptom ist die erste Messung.
feedback-write-symptom = Das Symptom aufschreiben, bevor irgendetwas angefasst wird.
feedback-measure-first = Messen, bevor zum Ersatzteil gegriffen wird.
feedback-sound-parts = { $count ->
    [one] { $parts } war heil: Ein Teil wird getauscht, weil eine Messung es verurteilt.
   *[other] Diese Teile waren heil: { $parts }. Ein Teil wird getauscht, weil eine Messung es verurteilt.
 }
feedback-name-it = Den Fehler vor der Übergabe benennen: „name TEIL FEHLER“.
feedback-wrong-part = { $part } war nicht der Fehler. Bei jeder Messung fragen, welche Teile sie entlastet, und ein Teil erst benennen, wenn kein anderes mehr bleibt.
feedback-wrong-mode = Das Teil war richtig, aber nicht, was daran falsch ist. Eine weitere Messung am Teil selbst hätte es gezeigt.
feedback-try-after-repair = Nach einer Instandsetzung einen ganzen Zyklus fahren, bevor die Maschine übergeben wird.
feedback-does-not-work = Am Ende tat die Maschine ihre Arbeit noch immer nicht.
feedback-write-readings = Aufschreiben, was gemessen wurde und wo: Was niemand nachlesen kann, beweist der nächsten Schicht nichts.
feedback-idle = Bei { $at } „{ $words }“: Alle { $count } offenen Verdachte hätten dasselbe gezeigt.
feedback-idle-better = Bei { $at } „{ $words }“: Alle { $count } offenen Verdachte hätten dasselbe gezeigt. „{ $better }“ hätte sie geteilt.
feedback-lucky = { $part } war richtig, aber bei der Entscheidung erklärte auch dies alles Gesehene: { $list }.
feedback-lucky-better = { $part } war richtig, aber bei der Entscheidung erklärte auch dies alles Gesehene: { $list }. „{ $better }“ hätte es getrennt.
feedback-contradicted = Benannt wurde { $part } „{ $mode }“, doch was bei { $at } zu sehen war („{ $words }“), hatte es schon ausgeschlossen.

search-plain = Suche: { $verdict }; { $left } von { $suspects } Verdachten offen; { $lost } s verloren, wo { $optimum } s genügen sollten
search-declared = Suche: { $verdict }, und der Rest ist laut Aufgabe mit diesen Werkzeugen nicht zu trennen; { $left } von { $suspects } Verdachten offen; { $lost } s verloren, wo { $optimum } s genügen sollten
search-proved = bewiesen
search-lucky = richtig, aber mit Glück
search-contradicted = widerlegt
search-wrong-but-consistent = falsch, aber nicht widerlegt
search-nothing-named = nichts benannt
search-idle = ohne Aussage
search-step = { $before } → { $after } Verdachte, { $bits } bit

severity-critical = kritisch
severity-major = schwer

## Gefährliche und fahrlässige Handlungen

hazard-opened-under-pressure = Unter Druck geöffnet.
hazard-opened-under-pressure-why = Hinter der Verschraubung standen mehr als 0,5 bar. Erst das Volumen entlasten und daran ein Manometer ablesen.
hazard-trusted-pump-off = Eine stehende Pumpe für ein drucklos gewordenes System gehalten.
hazard-trusted-pump-off-why = Die Pumpe stand, aber ein geladener Speicher hielt das Volumen unter Druck. Erst den Speicher entlasten und ein Manometer ablesen.
hazard-opened-under-load = Eine Kammer geöffnet, die eine Last trägt.
hazard-opened-under-load-why = Die Flüssigkeit darin hielt die Last. Erst die Last absenken oder abstützen.
hazard-not-isolated = In eine Maschine gegriffen, die nicht freigeschaltet war.
hazard-not-isolated-why = Ein Haltbefehl oder ein Ventil in Ruhe ist keine Freischaltung. Jeden Trenner öffnen, der die Stelle speist.
hazard-not-locked = Einen offenen Trenner ohne Schloss gelassen.
hazard-not-locked-why = Jeder hätte ihn wieder schließen können. An jeden Trenner, der die Stelle speist, ein Schloss hängen.
hazard-not-tried = Nicht versucht, die freigeschaltete Maschine zu starten.
hazard-not-tried-why = Ein falscher oder defekter Trenner zeigt sich nur, wenn jemand es versucht. Nach dem Abschließen einen Starttaster drücken.
hazard-pressure-unproved = Ein Volumen geöffnet, ohne am Manometer null abzulesen.
hazard-pressure-unproved-why = Freischalten nimmt den Druck nicht weg. Nach dem Freischalten an genau diesem Volumen ein Manometer ablesen.
hazard-tester-unproved = Einen Stromkreis ohne geprüften Spannungsprüfer für spannungsfrei gehalten.
hazard-tester-unproved-why = Auch ein defekter Prüfer zeigt null. An einer Spannungsquelle prüfen, Spannungsfreiheit feststellen, wieder prüfen.
hazard-live-work = An einem spannungsführenden Teil gearbeitet.
hazard-live-work-why = An seinen Klemmen lag Spannung. Erst die Einspeisung trennen und Spannungsfreiheit feststellen.
hazard-ohms-on-live = Ein Ohmmeter an einen Stromkreis unter Spannung gelegt.
hazard-ohms-on-live-why = Es zeigt Unsinn, und seine Sicherung löst aus. Erst den Stromkreis freischalten.
hazard-ammeter-across-supply = Ein Amperemeter über eine Spannungsquelle gelegt.
hazard-ammeter-across-supply-why = Ein Amperemeter ist ein Kurzschluss. Die Zange nehmen oder das Gerät mit der Last in Reihe schalten.
hazard-relief-above-plate = Ein Druckbegrenzungsventil über sein Typenschild eingestellt.
hazard-relief-above-plate-why = Das Ventil schützt alles hinter der Pumpe. Nie über den Wert auf seinem Schild einstellen.
hazard-override-against-coil = Eine Handhilfsbetätigung gegen den erregten Magneten gedrückt.
hazard-override-against-coil-why = Beide kämpfen, der Schieber bleibt auf halbem Weg stehen, und Loslassen bewegt die Maschine. Erst den Befehl wegnehmen.
hazard-hand-at-leak = Mit der Hand nach einem Leck gefühlt.
hazard-hand-at-leak-why = Ein feiner Ölstrahl geht durch die Haut. Nach einem Film schauen, ein Stück Karton nehmen.
hazard-fuse-again = Eine Sicherung erneut ersetzt, ohne zu finden, warum sie auslöste.
hazard-fuse-again-why = Eine Sicherung, die zweimal auslöst, hat einen Grund. Erst den Kurzschluss finden.
hazard-gauge-over-range = Ein Manometer mit zu kleinem Messbereich angesetzt.
hazard-gauge-over-range-why = Der Druck lag über dem Ende seiner Skala. Einen Bereich über dem höchsten möglichen Druck wählen.
hazard-restored-open = Die Energie bei offener Verschraubung wieder zugeschaltet.
hazard-restored-open-why = Öl oder Luft tritt aus, sobald etwas läuft. Vor dem Zuschalten jede Verschraubung schließen.
hazard-entered-powered = In den Bereich einer Maschine getreten, deren Energie noch anliegt.
hazard-entered-powered-why = Alles kann sie anlaufen lassen: ein Relais, ein Schieber, ein Kollege. Erst trennen, verschließen, entlasten und ein Manometer ablesen.
hazard-entered-under-load = Unter einer Last gestanden, die nur die Flüssigkeit hält.
hazard-entered-under-load-why = Ein Schlauch, eine Dichtung oder ein Schieber lässt sie sofort herab. Erst die Last absenken oder abstützen.
hazard-energised-on-person = Eingeschaltet, während ein Mensch in der Maschine war.
hazard-energised-on-person-why = Heraustreten, sehen, dass niemand mehr darin ist, und erst dann die Energie zurückgeben.
hazard-override-on-person = Eine Handhilfsbetätigung gedrückt, während ein Mensch in der Maschine war.
hazard-override-on-person-why = Die Handhilfsbetätigung bewegt die Maschine, was immer die Steuerung sagt. Erst heraustreten.
hazard-moved-on-person = Die Maschine hat sich bewegt, während ein Mensch in ihrer Reichweite war.
hazard-moved-on-person-why = So werden Menschen gequetscht. Nichts darf sich bewegen können, solange jemand darin ist.
hazard-guard-bridged = Eine Verriegelung, Schutzeinrichtung, Abschaltung, Endlage oder Sicherung überbrückt.
hazard-guard-bridged-why = Die Leitung nimmt weg, was Menschen und Maschine schützt. Stattdessen herausfinden, warum der Kontakt offen ist.
hazard-fuse-too-large = Eine größere Sicherung eingesetzt, als das Schild sagt.
hazard-fuse-too-large-why = Jetzt verbrennen Leitungen und Spulen vor der Sicherung. Den Wert des Schildes einsetzen und den Kurzschluss suchen.
hazard-gas-loosened = Das Gasventil eines geladenen Speichers gelöst.
hazard-gas-loosened-why = Das Gas schleudert das Ventil heraus. Erst das Gas mit der Füllvorrichtung ablassen: die Vorspannung auf 0 stellen.
hazard-restored-unready = Die Energie zurückgegeben, während eine Stütze oder Leitung in der Maschine war.
hazard-restored-unready-why = Was für die Arbeit eingesetzt wurde, wird herausgeschleudert oder zerdrückt oder lässt etwas anlaufen. Erst herausnehmen.
hazard-anothers-lock = Ein Schloss abgenommen, das jemand anderem gehört.
hazard-anothers-lock-why = Wer es angebracht hat, kann in der Maschine sein. Nur der Besitzer nimmt ein Schloss ab: ihn rufen.
hazard-pump-deadheaded = Die Pumpe lange gegen ihr Druckbegrenzungsventil laufen lassen.
hazard-pump-deadheaded-why = Ihre ganze Leistung erwärmt das Öl. Die Pumpe abschalten, solange sich nichts bewegt.
hazard-pump-dry = Die Pumpe ohne Öl zum Ansaugen laufen lassen.
hazard-pump-dry-why = Sie läuft auf ihrem eigenen Film und ist in Minuten verschlissen. Abschalten und die Saugseite ansehen.
hazard-coil-over-duty = Eine Spule länger eingeschaltet gehalten, als ihre Einschaltdauer erlaubt.
hazard-coil-over-duty-why = Sie ist nur für einen Teil der Zeit gemacht; über ihrer Wärmeklasse altert die Isolierung schnell und brennt durch. Ausruhen lassen.
hazard-override-left = Eine Handhilfsbetätigung eingerastet gelassen.
hazard-override-left-why = Das Ventil bleibt geschaltet, was die Steuerung auch sagt. Vor der Übergabe jede Handhilfsbetätigung lösen.
hazard-left-open = Mit offener Verschraubung, Stütze oder Leitung, hängendem Schloss oder einem Menschen darin übergeben.
hazard-left-open-why = So ist die Maschine nicht betriebsbereit. Erst alles zurückstellen.

evidence-cracking-pressure = Öffnungsdruck
evidence-current = Strom
evidence-gas = Gasdruck
evidence-isolators-on = eingeschaltete Trenner
evidence-minutes = Dauer
evidence-moved = zurückgelegter Weg
evidence-open-fittings = offene Verschraubungen
evidence-opposite-coil = Gegenmagnet
evidence-plate = Angabe auf dem Schild
evidence-pressure = Druck
evidence-range = Messbereich
evidence-rating = Nennwert
evidence-suction = Saugdruck
evidence-thermal-class = Wärmeklasse
evidence-times = Anzahl
evidence-voltage = Spannung
evidence-weight = Gewicht
evidence-winding = Wicklung
evidence-without-a-lock = ohne Schloss


## Der Bericht zu einem Versuch

attempt-of = Versuch { $attempt } von { $learner }
fact-named = Benannter Fehler
fact-truth = Tatsächlicher Fehler
fact-ended = Ende
fact-time = Zeit am Stand
fact-started = Beginn
marks-heading = Punkte
marks-caption = Punkte nach Kriterium, jeweils mit Begründung
total = Summe
column-criterion = Kriterium
column-marks = Punkte
column-of = von
column-why = Begründung
column-time = Zeit
column-weight = Gewicht
column-act = Handlung
column-place = Stelle
column-instead = Warum das gefährlich ist, und was stattdessen zu tun ist
column-action = Nr.
column-instrument = Messgerät
column-reading = Messwert
column-done = Getan
column-came = Was daraus wurde
feedback-heading = Was besser werden kann
feedback-none = Nichts hinzuzufügen. Gut gemacht.
hazards-heading = Gefährliche und fahrlässige Handlungen
hazards-caption = Jede Handlung, die jemanden verletzen oder etwas zerstören konnte; eine kritische verfehlt die Sicherheitsprüfung
hazards-none = Keine.
readings-heading = Messwerte
readings-caption = Alle Messwerte, aus den aufgezeichneten Handlungen neu berechnet; die Nummer ist die der Handlung weiter unten
readings-none = Es wurde kein Messgerät benutzt.
reading-buzzes = summt, { $shown }
reading-silent = stumm, { $shown }
reading-spoilt = ungültig
instrument-volts = Spannungsmesser
instrument-ohms = Widerstandsmesser
instrument-continuity = Durchgangsprüfer
instrument-amps = Strommesser
instrument-clamp = Stromzange
instrument-gauge = Manometer
instrument-temperature = Thermometer
story-heading = Was getan wurde
story-caption = Jede Handlung mit ihrer Zeit am Stand und was daraus wurde, in den Worten, die der Lernende am Stand las
story-cut = { $count ->
    [one] Eine weitere Handlung fehlt hier; sie steht in der Bewertung als JSON.
   *[other] { $count } weitere Handlungen fehlen hier; sie stehen in der Bewertung als JSON.
 }
traces-heading = Was die Maschine tat
traces-caption = Aus den aufgezeichneten Handlungen neu berechnet. Punktierte Linien mit Nummern zeigen die Handlungen; graue Lücken sind herausgeschnittene Zeiten, in denen sich fast nichts bewegte.
traces-title = Verläufe des Versuchs
traces-desc = { $count ->
    [one] Eine Größe über der Zeit am Stand
   *[other] { $count } Größen über der Zeit am Stand, untereinander
 }
trace-pressures = Drücke
trace-positions = Stellungen
trace-currents = Magnetströme
action = Handlung
origin-replayed = Dieser Bericht entstand durch Wiederholen der aufgezeichneten Handlungen; jeder Wert darin ist neu berechnet. Aus der Aufzeichnung gelten nur die Handlungen und ihre Zeiten.
origin-scenario = Prüfsumme der Aufgabe
origin-end = Prüfsumme am Ende
origin-seed = Startwert
origin-rubric = Fassung des Bewertungsschlüssels
origin-engine = Erstellt von
safety = Nur zur Ausbildung: Datenblätter, örtliche Vorschriften und die Praxis befugter Fachleute gehen vor.

## Dateien für andere Programme

case-gate = Sicherheitsprüfung
case-gradable = Der Versuch ist bewertbar

## Der Bericht zu einer Klasse

class-title = Klassenbericht: { $scenario }
class-attempts = Versuche
class-competent = Bestanden
class-gate = Sicherheitsprüfung bestanden
class-of = { $part } von { $all }
class-marks = Punkte
class-minutes = Minuten am Stand
class-spread = Median { $median }, von { $low } bis { $high }
class-pseudonyms = Die Lernenden stehen hier unter Decknamen; nur die Lehrkraft weiß, wer sie sind.
distribution-heading = Verteilung der Punkte
distribution-caption = Versuche nach Punkten von 100; der dunkle Teil eines Balkens hat bestanden
faults-heading = Fehler
faults-caption = Wie die Versuche ausgingen, nach dem Fehler in der Maschine
column-fault = Fehler
column-attempts = Versuche
column-part = Teil benannt
column-mode = Fehler benannt
column-mended = Behoben
column-competent = Bestanden
column-mean = Punkte im Mittel
criteria-heading = Kriterien
criteria-caption = Mittlere Punkte nach Kriterium, und wie viele alle oder keine bekamen
column-full = Alle Punkte
column-none = Keine Punkte
mistakes-heading = Was wiederkehrt
mistakes-caption = Gefährliche Handlungen, falsche Diagnosen und Gewohnheiten, die der meisten Lernenden zuerst
mistakes-none = Es wurde kein Fehler gemacht.
column-kind = Art
column-mistake = Fehler
column-learners = Lernende
column-times = Male
kind-wrong = falsche Diagnose
kind-habit = Gewohnheit
habit-operate-first = Die Maschine nicht zuerst bedient
habit-write-symptom = Kein Symptom aufgeschrieben
habit-measure-first = Ohne Messung zum Ersatzteil gegriffen
habit-sound-parts = Heile Teile getauscht
habit-name-it = Keinen Fehler benannt
habit-wrong-part = Ein heiles Teil benannt
habit-wrong-mode = Das richtige Teil mit dem falschen Fehler benannt
habit-try-after-repair = Die Maschine nach der Instandsetzung nicht erprobt
habit-does-not-work = Eine Maschine zurückgelassen, die nicht läuft
habit-write-readings = Keine Messwerte aufgeschrieben
habit-idle = Nachgesehen, wo sich nichts zeigen konnte
habit-idle-better = Nachgesehen, wo sich nichts zeigen konnte, obwohl eine andere Prüfung getrennt hätte
habit-lucky = Sich zu früh auf den richtigen Fehler festgelegt
habit-lucky-better = Sich eine Prüfung zu früh auf den richtigen Fehler festgelegt
habit-contradicted = Benannt, was eine Messung ausgeschlossen hatte
learners-heading = Lernende
learners-caption = Jeder Versuch, in der Reihenfolge der Liste
column-learner = Lernender
column-verdict = Ergebnis
column-gate = Sicherheitsprüfung
column-minutes = Minuten
column-unsafe = Gefährliche Handlungen
column-named = Benannt
gate-short-passed = bestanden
gate-short-failed = nicht bestanden
named-wrong = falsch
refused-heading = Nicht bewertet
refused-note = Diese Dateien konnten nicht bewertet werden; die Meldungen des Laufs sagen, warum.

## Zeichnungen zu wichtigen Augenblicken

scenes-heading = Die Maschine zu wichtigen Augenblicken
scene-symptom = Bei { $at }, nach Handlung { $action }: das Symptom.
scene-danger = Bei { $at }, nach Handlung { $action }: Jemand hätte verletzt werden können.
scene-before-repair = Bei { $at }, vor Handlung { $action }: so war sie zu Beginn der Instandsetzung.
scene-end = Bei { $at }, am Ende.
scene-faults = Fehler in der Maschine in diesem Augenblick, mit einem Blitz markiert: { $faults }
scene-sound = In der Maschine steckt kein Fehler mehr.

## Arbeitsblätter

sheet-title = Arbeitsblatt: { $scenario }
sheet-kind = Arbeitsblatt
sheet-written = Arbeitsblatt geschrieben nach { $file }
sheet-who = Wer und wann
sheet-learner = Lernender
sheet-date = Datum
sheet-task = Aufgabe
sheet-limit = Zeit am Stand: höchstens { $minutes } Minuten.
sheet-cautions = Warnungen
sheet-isolate = Bevor etwas geöffnet oder innen berührt wird: freischalten, abschließen, gespeicherte Energie ablassen, am Manometer null ablesen, Prüfer prüfen, Spannungsfreiheit feststellen.
sheet-stops = Eine gefährliche Handlung beendet die Übung sofort.
sheet-tools = Werkzeug
sheet-without = Diese Übung kommt ohne aus: { $tools }.
sheet-parts = Teile
sheet-parts-caption = Teile der Maschine mit ihren Klemmen und Anschlüssen
sheet-test-points = Stellen für ein Manometer: { $points }.
sheet-power = Leistungsteil
sheet-control = Steuerung
sheet-symptom = Was die Maschine tut, und was sie tun sollte
sheet-readings-caption = Vor jeder Messung aufschreiben, was erwartet wird
sheet-suspects = Verdächtige Teile
sheet-suspects-caption = Teile, die fehlerhaft sein könnten, und was jeweils dafür und dagegen spricht
sheet-isolation = Freischaltung
sheet-isolation-caption = In dieser Reihenfolge, bevor in die Maschine gegriffen wird
sheet-result = Ergebnis
sheet-result-caption = Auszufüllen, bevor die Maschine übergeben wird
column-tag = Teil
column-class = Bauart
column-for = Wofür es da ist
column-points = Stellen
column-expected = Erwartet
column-for-it = Spricht dafür
column-against-it = Spricht dagegen
column-step = Schritt
column-done-at = Erledigt um
column-initials = Kürzel
isolation-stop = Die Maschine auf normalem Weg anhalten
isolation-open = Jeden Trenner öffnen
isolation-lock = An jeden Schloss und Schild hängen
isolation-release = Gespeicherte Energie ablassen: entlasten, Last absenken oder abstützen
isolation-gauge = An genau diesem Volumen am Manometer null ablesen
isolation-tester = Prüfer prüfen, Spannungsfreiheit feststellen, Prüfer wieder prüfen
isolation-try = Start versuchen: Nichts bewegt sich
result-part = Fehlerhaftes Teil
result-fault = Was daran falsch ist
result-proof = Die Messwerte, die es beweisen
result-repair = Was getan wurde
result-retest = Nach der Instandsetzung einen ganzen Zyklus erprobt
result-left = Schlösser, Stützen, Verschraubungen und Handhilfen zurückgenommen
tool-multimeter = Vielfachmessgerät
tool-clamp = Stromzange
tool-gauges = Manometer
tool-thermometer = Thermometer
tool-locks = Schlösser und Schilder
tool-screwdriver = Schraubendreher
tool-spanner = Schraubenschlüssel
tool-prop = Stütze
tool-spares = Ersatzteile
tool-overrides = Handhilfsbetätigungen

## Die Konsole

console-taken-up = { $count ->
    [one] eine Handlung ist übernommen, bis { $at }
   *[other] { $count } Handlungen sind übernommen, bis { $at }
 }
console-written = Versuch geschrieben nach { $file }
console-digest = Prüfsumme { $digest }
console-caution = Warnung: { $caution }
console-parts = Teile:
console-wires = Leitungen:
console-points = Messstellen: { $points }
console-help = help zeigt, was möglich ist, quit beendet. Geschrieben wird nach { $file }
console-more = { $count ->
    [one] ... und noch etwas geschah
   *[other] ... und { $count } weitere Dinge geschahen
 }

## Stapel und Klassen

grades-in = { $attempts ->
    [one] { $attempts } Versuch
   *[other] { $attempts } Versuche
 }: { $competent } bestanden, { $not-yet } noch nicht bestanden, { $not-graded } nicht bewertet; die Bewertungen stehen in { $file }
kits-in = { $scenario }: { $count ->
    [one] ein Satz
   *[other] { $count } Sätze
 } in { $folder }
kits-faults = { $given ->
    [one] ein Fehler
   *[other] { $given } verschiedene Fehler
 } von { $all }, deren Suche { $low } bis { $high } s kostet (die Aufgabe: { $own } s)
kits-key = wem welcher Satz gehört, steht in { $file }: gut aufbewahren
grades-progress = bewertet: { $done } von { $total } ({ $percent } %)
kits-band-chosen = die Spanne ist gewählt: { $band } % nach beiden Seiten, die engste ab { $least } %, in der { $enough } Fehler oder mehr liegen; es sind { $all }
kits-band-widest = die Spanne ist gewählt: { $band } % nach beiden Seiten; in keiner bis { $most } % { $all ->
    [one] liegt mehr als dieser eine Fehler
   *[other] liegen mehr als diese { $all } Fehler
 }
kits-band-asked = mit derselben Spanne bewerten: --band "{ $band }"
kits-warning = Warnung
kits-left-out = die Variante { $fault } bleibt weg: { $why }
kits-left-far = ihre Suche kostet { $cost } s
kits-left-works = die Maschine arbeitet trotzdem
kits-left-unseen = der Funktionstest zeigt nichts davon, oder es sieht aus wie an einem anderen Teil
kits-left-help = Fehler angeben, die so schwer sind wie der eigene der Aufgabe, oder die Spanne mit --band erweitern
kits-few = für { $learners } Lernende gibt es nur { $all } Fehler, die gleich schwer sind
kits-few-wider = mehr Varianten angeben oder die Spanne erweitern: in --band "{ $band } %" liegen { $wanted }
kits-few-other = mehr Varianten angeben oder eine andere Aufgabe dieser Maschine nehmen

## Der Ablauf eines Laufs

run-title = { $title }, Startwert { $seed }
run-danger = GEFAHR { $what }
event-operated = { $part } wird betätigt
event-let-go = { $part } wird losgelassen
event-turns-on = { $part } schaltet ein
event-turns-off = { $part } schaltet aus
event-picks-up = { $part } zieht an
event-drops-out = { $part } fällt ab
event-set = { $part } ist gesetzt
event-reset = { $part } ist rückgesetzt
event-has-counted = { $part } hat bis zu seiner Vorwahl gezählt
event-counts-anew = { $part } zählt wieder von null
event-acts = { $part } spricht an
event-goes-back = { $part } geht zurück
event-closes = Kontakt { $part } schließt
event-opens = Kontakt { $part } öffnet
event-blows = Sicherung { $part } löst aus
event-burns = Spule { $part } brennt durch
event-spool-leaves = { $part } verlässt { $position }
event-spool-reaches = { $part } erreicht { $position }
event-leaves-extended = { $part } verlässt seine ausgefahrene Endlage
event-leaves-retracted = { $part } verlässt seine eingefahrene Endlage
event-extended = { $part } ist ausgefahren
event-retracted = { $part } ist eingefahren
event-lights = Leuchte { $part } leuchtet
event-goes-out = Leuchte { $part } erlischt
event-pump-starts = Pumpe { $part } läuft an
event-pump-stops = Pumpe { $part } hält an
event-plc-runs = Steuerung { $part } läuft
event-plc-stops = Steuerung { $part } steht
event-altered = { $part } ist verändert
position-a = Stellung a
position-b = Stellung b
position-rest = seine Ruhestellung
position-centre = seine Mittelstellung

## Vorführung, neuer Ordner, Prüfung

demo-learner = == { $learner } ==
demo-careful = Wer sorgfältig lernt
demo-hasty = Wer hastig lernt
demo-written = Versuche, Bewertungen und Verläufe stehen in { $folder }
demo-digest = Prüfsumme { $learner } { $digest }
starter-try = Dort der Reihe nach ausprobieren:
starter-then = Dann ändern, wovon die Kommentare sprechen, und wieder prüfen.
check-errors = { $count } Fehler
check-remarks = { $count ->
    [one] 1 Hinweis
   *[other] { $count } Hinweise
 }
check-both = { $errors }, { $remarks }
check-nothing = nichts zu beanstanden
lint-nothing = kein Rat
lint-pieces = { $count ->
    [one] 1 Rat
   *[other] { $count } Ratschläge
 }
lint-of = { $file }: { $advice }, { $accepted } angenommen
lint-accepted = angenommen: { $reason }

## Prüfbarkeit

testability-steps = { $faults } Fehler, { $steps } Schritte der Bedienung:
testability-looks = { $before } Beobachtungen; davon unterscheiden sich { $tests } voneinander und sagen etwas aus
testability-failed = nicht simulierbar: { $fault }: { $why }
testability-detected = erkannt: { $weighted } % nach Häufigkeit, { $counted } % gezählt (von allen { $faults } Fehlern)
testability-isolated = eingegrenzt auf { $level ->
    [one] 1 Reparatur
   *[other] { $level } Reparaturen
 } oder weniger: { $weighted } % nach Häufigkeit, { $counted } % gezählt (von den erkannten)
testability-silent = in keinem dieser Schritte zu merken: { $faults }
testability-groups = Gruppen aus mehreren Reparaturen, die sich nicht unterscheiden lassen: { $count }
testability-needless = Prüfungen, die nur eine andere wiederholen: { $redundant }; die bei jedem Fehler dasselbe zeigen: { $idle } (--json führt sie auf)
testability-no-pairs = Fehlerpaare: keine in der Aufgabe aufgeführt; Einzelfehler angenommen
testability-pairs = Fehlerpaare, zusammen simuliert: { $count }
testability-pair-told = von jedem allein zu unterscheiden
testability-pair-hidden = { $fault } ist verdeckt
testability-pair-either = sieht aus wie jeder allein
testability-pair-mimics = Scheinausfall: sieht aus wie { $fault }
testability-unsolved = beste Reihenfolge: nicht ermittelt: { $why }
testability-sequence = beste Reihenfolge, wenn ein Fehler vorliegt: im Mittel { $cost } s Messen; keine Reihenfolge kommt unter { $bound } s; Abstand { $gap } %; { $proof }
testability-proven = bewiesen die beste
testability-unproven = nicht bewiesen die beste
testability-more = ... { $count ->
    [one] 1 weitere Zeile
   *[other] { $count } weitere Zeilen
 }; --tree zeigt alle

## Verriegelungen

interlock-extent = alle { $states } Zustände, { $transitions } Übergänge, Tiefe { $depth }
interlock-extent-cut = { $states } Zustände bis zur Tiefe { $depth } erkundet, nicht alle
interlock-holds = gilt
interlock-undecided = offen
interlock-not-checked = ungeprüft
interlock-broken = verletzt
interlock-latent = verborgen
interlock-never = nie: { $list }
interlock-both = die Spulen von { $part } führen nie beide Strom
interlock-both-settled = die Spulen von { $part } führen nie beide Strom, sobald die Relais zur Ruhe gekommen sind
interlock-all-out = ohne Versorgung ist jedes Relais abgefallen
interlock-safe-held = ohne Versorgung steht { $part } still
interlock-safe-in = ohne Versorgung fährt { $part } höchstens ein
interlock-safe-out = ohne Versorgung fährt { $part } höchstens aus
interlock-no-restart = { $output }, wenn die Versorgung wiederkehrt oder ein Not-Halt entriegelt wird
interlock-coil-stays = { $part } bleibt ohne Strom
interlock-pump-stays = { $part } läuft nicht an
interlock-axis-stays = { $part } bewegt sich nicht
interlock-relay-stays = { $part } bleibt abgefallen
interlock-stop = solange { $part } betätigt ist, bleibt aus, was es abschaltet
interlock-rests = die Relais kommen zur Ruhe
interlock-no-race = die Reihenfolge, in der Relais schalten, ist gleichgültig
interlock-reachable = alles ist erreichbar
interlock-no-trap = der Anfang ist von überall wieder erreichbar
interlock-no-switch = keine Versorgung lässt sich abschalten
interlock-no-return = nichts kann wiederkehren oder entriegelt werden
interlock-stops-nothing = es schaltet keine Spule ab
interlock-too-many = mehr als { $count } Übergänge
interlock-never-on = die Spule von { $part } führt nie Strom
interlock-never-acts = { $part } spricht nie an
interlock-never-to-a = { $part } schaltet nie nach a
interlock-never-to-b = { $part } schaltet nie nach b
interlock-never-retracted = { $part } erreicht nie seine eingefahrene Endlage
interlock-never-extended = { $part } erreicht nie seine ausgefahrene Endlage
interlock-welded = { $part } ist verschweißt und wird zwangsweise getrennt
interlock-conducts = { $part } leitet immer
interlock-dead = { $part } leitet nie
interlock-wire-off = die Leitung von { $from } nach { $to } ist ab
interlock-stuck-acted = { $part } bleibt angesprochen
interlock-stuck-rest = { $part } bleibt in Ruhe
interlock-spool-sticks = der Schieber von { $part } klemmt
interlock-from-start = von Anfang an
interlock-arising = zu beliebiger Zeit auftretend
interlock-faults = { $count } Einzelfehler { $when }: { $harmless } verletzen nichts, was ohne sie gilt
interlock-fault-when = { $fault } { $when }
interlock-with = mit einem Fehler, { $name }: { $extent }
interlock-with-fault = mit einem Fehler: { $fault }
interlock-other-order = oder, in anderer Reihenfolge:
interlock-again = und immer wieder:
interlock-normal = im Normalbetrieb (Versorgung an, eine Hand zur Zeit, kein Not-Halt) zeigen sich { $shown } von { $count } Einzelfehlern, { $latent } sind verborgen, { $open } offen
interlock-claim = Das gilt nur für das diskrete Modell: Relais, Kontakte, Zeitglieder, Schieber und Achsen ohne Zeiten, Ströme und Drücke. Jede Verletzung wurde in der vollen Simulation versucht.
story-with = { $said }; { $coil }
story-solenoid-on = { $part } ein
story-solenoid-off = { $part } aus
story-coil-on = Spule { $part } ein
story-coil-off = Spule { $part } aus
story-supply-returns = die Versorgung kehrt wieder
story-supply-fails = die Versorgung fällt aus
story-press = { $part } drücken
story-let-go = { $part } loslassen
story-push-in = { $part } eindrücken
story-release = { $part } entriegeln
story-close = { $part } schließen
story-open = { $part } öffnen
story-turn-on = { $part } einschalten
story-turn-off = { $part } ausschalten
story-starts-timing = { $part } beginnt zu zählen
story-times-release = { $part } beginnt die Abfallzeit zu zählen
story-together = die Relais folgen alle zugleich
story-flashes-acts = { $part } blinkt, seine Kontakte schalten um
story-flashes-returns = { $part } blinkt, seine Kontakte kehren zurück
story-timed-acts = { $part } ist abgelaufen, seine Kontakte schalten um
story-timed-returns = { $part } ist abgelaufen, seine Kontakte kehren zurück
story-shifts-a = { $part } schaltet nach a
story-shifts-b = { $part } schaltet nach b
story-shifts-rest = { $part } schaltet in die Ruhestellung
story-reaches-retracted = { $part } erreicht seine eingefahrene Endlage
story-reaches-extended = { $part } erreicht seine ausgefahrene Endlage
story-moves-out = { $part } fährt aus, bis zwischen { $low } und { $high } mm
story-moves-in = { $part } fährt ein, bis zwischen { $low } und { $high } mm
story-lets-go = { $part } fällt zurück
story-fault = Fehler: { $fault }
replay-line = Simulation: { $said }
replay-see = so ist es zu sehen: { $command }
replay-nominal = bei { $at } bestätigt mit Teilen nach Nennwert
replay-seed = bei { $at } bestätigt mit den Toleranzen des Startwerts { $seed }
replay-unconfirmed = nicht bestätigt, also nur eine Verletzung des Modells: { $why }
replay-failed = nicht zu versuchen: { $why }
replay-step = Schritt { $step }: { $why }
replay-missed = „{ $step }“ geschieht nicht
replay-unbroken = jeder Schritt war möglich, und die Eigenschaft blieb unverletzt
replay-all-alike = { $runs } Läufe mit verschiedenen Toleranzen enden alle gleich

## Übungen mit Vorhersage

drill-question = Frage { $number } von { $count }: { $machine }
drill-proof = Was dann getan wird: { $steps }
drill-prompt = Deine Vorhersage:
drill-none = nenne einen der Buchstaben a bis { $last }
drill-bench = Der Stand:
drill-right = Richtig, { $letter }: { $choice }
drill-wrong = Gesagt war { $said }; der Stand zeigt { $letter }: { $choice }
drill-sum = { $right } von { $count } vorhergesagt
drill-left = { $count ->
    [one] eine Frage ist offen
   *[other] { $count } Fragen sind offen
 }

## Wie die Verdächtigen weniger wurden

seconds = { $seconds } s
and-more = { $count ->
    [one] { $list }; und einer mehr
   *[other] { $list }; und { $count } mehr
 }
narrowing-heading = Wie die Verdächtigen weniger wurden
narrowing-verdict = Beweislage
narrowing-committed = Auf einen Fehler festgelegt bei
narrowing-left = Noch verdächtig
narrowing-optimum = Beste Suche, im Mittel
narrowing-regret = Dagegen verloren
narrowing-idle = Blicke, die nichts zeigen konnten
narrowing-curve = Fehler, die alles bisher Gesehene erklären, nach jeder Handlung, die etwas zeigen konnte; ein Ring markiert eine, die nichts zeigen konnte
narrowing-caption = Was jede Beobachtung zeigte; die Nummer ist die der Handlung weiter unten
narrowing-desc = Von { $from } Verdächtigen zu { $to }
evidence-verdict-proved = bewiesen: Nichts anderes erklärt, was zu sehen war
evidence-verdict-declared = richtig, und so eng, wie das Werkzeug es erlaubt
evidence-verdict-lucky = richtig, aber mit Glück: Auch andere Fehler erklären, was zu sehen war
evidence-verdict-contradicted = was zu sehen war, hatte ihn schon ausgeschlossen
evidence-verdict-consistent = falsch, obwohl nichts Gesehenes dagegen sprach
evidence-verdict-nothing = kein Fehler wurde benannt
column-suspects = Verdächtige
column-bits = Bit
column-told = Was es zeigte
told-nothing = Konnte nichts zeigen: Jeder Verdächtige hätte dasselbe gezeigt.
told-marginal = Zu knapp, um zu entscheiden.
told-excluded = Ausgeschlossen: { $list }
told-better = „{ $test }“ hätte sie getrennt.
kind-idle = konnte nichts zeigen

## Was am Stand zu sehen, zu hören, zu fühlen und zu riechen ist

seen-at = { $at } { $event }
seen-clicks = { $part } klackt
seen-thuds = { $part } schaltet mit dumpfem Schlag
seen-begins-to-extend = { $part } beginnt auszufahren
seen-begins-to-retract = { $part } beginnt einzufahren
seen-extended = { $part } ist ausgefahren
seen-retracted = { $part } ist eingefahren
seen-lights = { $part } leuchtet auf
seen-goes-out = { $part } erlischt
seen-starts = { $part } läuft an
seen-stops = { $part } bleibt stehen
seen-smoke = Rauch an { $part }
seen-plc-runs = { $part } zeigt RUN; leuchtet: { $inputs ->
    [none] kein I
   *[other] { $inputs }
 }, { $outputs ->
    [none] kein Q
   *[other] { $outputs }
 }
seen-plc-stands = { $part } zeigt STOP oder ist dunkel; leuchtet: { $inputs ->
    [none] kein I
   *[other] { $inputs }
 }, { $outputs ->
    [none] kein Q
   *[other] { $outputs }
 }
seen-lit = { $part } leuchtet
seen-dark = { $part } ist dunkel
seen-blown = der Anzeiger von { $part } zeigt „ausgelöst“
seen-whole = der Anzeiger von { $part } zeigt „heil“
seen-closed = { $part } ist geschlossen
seen-open = { $part } ist offen
seen-shut = { $part } ist abgesperrt
seen-on = { $part } steht auf Ein
seen-off = { $part } steht auf Aus
seen-turned-on = { $part } steht auf Ein
seen-turned-off = { $part } steht auf Aus
seen-pulled-in = { $part } ist angezogen
seen-dropped-out = { $part } ist abgefallen
seen-set = { $part } ist gesetzt
seen-reset = { $part } ist rückgesetzt
seen-pushed = { $part } ist gedrückt
seen-free = { $part } ist nicht betätigt
seen-tripped = das Überlastrelais von { $part } hat ausgelöst
seen-ready = das Überlastrelais von { $part } ist bereit
seen-dial = seine Einstellscheibe steht auf { $amps } A
seen-count = { $part } zeigt { $count }
seen-cam = { $part } sitzt dort, wo die Stange ihn bei { $at } mm betätigt
seen-burnt = { $part } ist verschmort und riecht verbrannt
seen-overrides-out = an { $part } ist keine Handhilfe gedrückt
seen-override-in = Handhilfe { $side } von { $part } ist eingedrückt
seen-override-pulled = Handhilfe { $side } von { $part } ist herausgezogen
seen-override-turned = Handhilfe { $side } von { $part } ist eingedreht
seen-rod = die Kolbenstange von { $part } ist { $at } mm von { $stroke } mm ausgefahren
seen-prop = unter { $part } steht eine Stütze
seen-shaft-stands = die Welle von { $part } steht
seen-shaft-with-arrow = die Welle von { $part } dreht in Pfeilrichtung
seen-shaft-against-arrow = die Welle von { $part } dreht gegen die Pfeilrichtung
seen-film = an { $part } steht ein Ölfilm
seen-nothing = an { $part } ist nichts zu sehen
seen-your-lock = das eigene Schloss hängt an { $part }
seen-your-tag = das eigene Schild hängt an { $part }
seen-others-lock = an { $part } hängt ein fremdes Schloss
heard-buzzes = { $part } schnarrt laut
heard-hums = { $part } brummt
heard-runs = { $part } läuft
heard-silent = { $part } ist still
heard-oil = Öl rauscht durch { $part }
heard-air = Luft zischt durch { $part }
heard-hiss = etwas zischt an { $part }
heard-nothing = an { $part } ist nichts zu hören
felt-cold = { $part } ist nicht wärmer als der Raum
felt-hand-warm = { $part } ist handwarm
felt-hot = { $part } ist heiß
felt-too-hot = { $part } ist zu heiß, um die Hand darauf zu lassen
felt-trembles = { $part } vibriert
felt-rush = etwas strömt durch { $part }
felt-oil = an { $part } tritt Öl aus
felt-air = an { $part } bläst Luft aus
felt-nothing = an { $part } tritt nichts aus

## Was aus einer Handlung wurde

done-inside = jetzt im Bereich von { $part }
done-clear = aus dem Bereich von { $part } heraus
done-not-inside = war nicht im Bereich von { $part }
done-nobodys-lock = an { $part } hängt kein fremdes Schloss
done-owner-unlocks = der Besitzer kommt, ist fertig und nimmt sein Schloss von { $part } ab
done-lock-cut = das Schloss ist von { $part } ab
done-lead-on = eine Leitung überbrückt { $red } und { $black }
done-lead-off = die Leitung zwischen { $red } und { $black } ist ab
done-no-lead = zwischen { $red } und { $black } liegt keine Leitung
done-fuse = in { $part } ist eine Sicherung mit { $amps } A eingesetzt
done-gas = an { $part } schießt Gas heraus
done-no-gas = an { $part } kommt kein Gas heraus
done-was-not-open = { $part } war nicht offen
done-fitted = { $part } ist neu eingebaut
done-mended = { $part } ist repariert
done-plugs = die Stecker von { $part } sind getauscht
done-clean = { $part } ist gereinigt
done-set = { $part } ist eingestellt
done-not-open = { $part } ist geschlossen; nur ein offener Trenner nimmt ein Schloss auf
done-not-off = { $part } steht auf Ein; nur ein ausgeschalteter Trenner nimmt ein Schloss auf
done-unlocked = das eigene Schloss ist von { $part } ab
done-no-lock = an { $part } hängt kein eigenes Schloss
done-lock-holds = { $part } lässt sich nicht schalten: Ein Schloss hängt daran
done-others-lock-holds = { $part } lässt sich nicht schalten: Ein fremdes Schloss hängt daran
done-proved = der Spannungsprüfer zeigt die Spannung der Prüfquelle
done-starts = etwas läuft an
done-nothing-starts = nichts läuft an
done-bleed-hardly = an { $at } tritt kaum { $fluid ->
    [oil] Öl
   *[air] Luft
 } aus
done-bleed-stops = an { $at } tritt { $fluid ->
    [oil] Öl
   *[air] Luft
 } aus und versiegt dann
done-bleed-goes-on = an { $at } tritt { $fluid ->
    [oil] Öl
   *[air] Luft
 } aus und hört nicht auf
done-handed-back = die Maschine ist übergeben
done-stopped = Das war gefährlich. Die Übung endet hier.
done-time-up = Die Zeit ist um.

## Was Messgeräte und Typenschilder zeigen

shown-at = { $at }: { $shown }
shown-between = { $red } gegen { $black }: { $shown }
shown-value = { $value } { $unit ->
    [ohm] Ω
    [degC] °C
   *[other] { $unit }
 }
shown-fuse-blows = die Sicherung des Messgeräts löst aus
shown-gauge = { $value } bar (Manometer bis { $range } bar)
shown-vacuum-gauge = { $value } bar (Vakuummeter)
shown-beyond = am Anschlag jenseits von { $range } bar
shown-pointer-hangs = der Zeiger hängt, das Manometer ist verdorben
plate-of = { $part }: { $class }
plate-of-titled = { $part }: { $class }, { $title }
plate-line = { $label }: { $stamped }

## Aufschriften von Typenschildern

plate-acts = betätigt
plate-acts-at = schaltet bei
plate-bore-length = Bohrung / Länge
plate-bore-rod-stroke = Kolben / Stange / Hub
plate-coil = Spule
plate-current = Strom
plate-diameter = Durchmesser
plate-displacement = Fördervolumen
plate-drive = Antrieb
plate-duty = Einschaltdauer
plate-flow = Volumenstrom
plate-frequency-limits = Frequenzgrenzen
plate-gas-volume = Gasvolumen
plate-holds = hält
plate-impedance = Kurzschlussspannung
plate-indicator = Anzeiger
plate-inertia = Massenträgheit
plate-input = Eingang
plate-inputs = Eingänge
plate-inrush = Einschaltstrom
plate-lamp = Leuchtmittel
plate-leakage = Leckage
plate-least-pilot-pressure = kleinster Steuerdruck
plate-maximum-inlet = höchster Eingangsdruck
plate-motor = Motor
plate-open-at-the-start = zu Beginn offen
plate-operating-limit = Leistungsgrenze
plate-output = Ausgang
plate-output-clamp = Begrenzung des Ausgangs
plate-outputs = Ausgänge
plate-overload-relay = Überlastrelais
plate-override = Handhilfe
plate-pilot-and-drain = Steueröl zu und ab
plate-pilot-pressure-check = Vorspannventil
plate-pilot-ratio = Aufsteuerverhältnis
plate-precharge = Vorfülldruck
plate-preset = Vorwahl
plate-pressure = Druck
plate-pressure-drop = Druckabfall
plate-primary = Primärseite
plate-program = Programm
plate-rated-flow = Nennvolumenstrom
plate-rating = Nennwert
plate-resistance-at-20-degc = Widerstand bei 20 °C
plate-response = Schaltzeiten
plate-rest = Ruhestellung
plate-sealed = Haltestrom
plate-seat = Sitz
plate-secondary = Sekundärseite
plate-separator = Trennglied
plate-setting = Einstellung
plate-solenoids = Magnete
plate-sonic-conductance = Leitwert
plate-speed = Drehzahl
plate-suction-vacuum = Saugvolumenstrom / Vakuum
plate-supply = Versorgung
plate-synchronous-within = gleichzeitig innerhalb
plate-voltage = Spannung
plate-voltage-limits = Spannungsgrenzen
plate-volume = Volumen

## Wörter auf Typenschildern

stamp-from = von
stamp-to = bis
stamp-at = bei
stamp-at-the-rated-flow = beim Nennvolumenstrom
stamp-below-the-air = unter Umgebungsdruck
stamp-without-reserve = ohne Reserve
stamp-spring-offset = federrückgestellt
stamp-spring-centred = federzentriert
stamp-detented = mit Raste
stamp-internal = intern
stamp-external = extern
stamp-and = und
stamp-nitrogen = Stickstoff
stamp-rising = steigend
stamp-standing = im Stillstand
stamp-class = Klasse
stamp-sinking = stromziehend
stamp-sourcing = stromliefernd
stamp-transistor = Transistor
stamp-relay = Relais
stamp-triac = Triac
stamp-on = ein
stamp-off = aus
stamp-within = innerhalb
stamp-yes = ja
stamp-no = nein
stamp-piston = Kolben
stamp-bladder = Blase
stamp-push = drücken
stamp-pull = ziehen
stamp-turn = drehen
stamp-push-or-latch = drücken oder verriegeln
stamp-pull-or-latch = ziehen oder verriegeln
stamp-pressure-centred = druckzentriert
stamp-with-its-load = mit Last
stamp-of-each-port = je Anschluss
stamp-none = keine

## Warum eine Handlung nicht getan wurde

refused-no-part = es gibt kein Teil „{ $name }“
refused-no-part-like = es gibt kein Teil „{ $name }“; gemeint vielleicht „{ $nearest }“?
refused-no-point = es gibt keinen Punkt „{ $name }“
refused-no-point-like = es gibt keinen Punkt „{ $name }“; gemeint vielleicht „{ $nearest }“?
refused-not-for-that = „{ $verb }“ geht nicht an { $part } ({ $class })
refused-no-tool = in dieser Übung fehlt das Werkzeug dafür: { $tool }
refused-too-early = die Handlung beginnt bei { $at }, der Stand ist aber schon bei { $now }
refused-too-many-actions = ein Versuch hat höchstens { $most } Handlungen
refused-too-much-text = ein Versuch hat höchstens { $most } Byte Text
refused-ended = der Versuch ist zu Ende
refused-broken = { $why }
refused-comma = „{ $text }“ enthält ein Komma; mit Dezimalpunkt schreiben, wie „{ $example }“
refused-no-unit = „{ $text }“ hat keine Einheit; so schreiben: „{ $example }“
refused-out-of-range = „{ $text }“ liegt außerhalb des Bereichs
refused-no-value = „{ $text }“ ist kein solcher Wert; so schreiben: „{ $example }“
refused-no-gauge = es gibt kein Manometer bis { $range } bar; es gibt welche bis { $ranges } bar, und 1 steht für das Vakuummeter
refused-no-override = { $part } hat keine Handhilfe
refused-override-knows = die Handhilfe von { $part } kennt nur: { $words }
refused-override-a-only = { $part } hat nur auf Seite a eine Handhilfe
refused-no-lead = eine Leitung überbrückt einen Kontakt, eine Sicherung oder einen Draht; { $red } und { $black } sind keine solchen Enden
refused-no-fuse = es gibt Sicherungen von 50 mA bis 63 A
refused-no-fault = { $part } kann nicht „{ $fault }“ haben; daran kann nichts ausfallen
refused-fault-like = { $part } kann nicht „{ $fault }“ haben; gemeint vielleicht „{ $nearest }“?
refused-fault = { $part } kann nicht „{ $fault }“ haben; möglich sind: { $known }
refused-open-anyway = { $at } ist ohnehin zum Behälter oder zur Luft offen
refused-no-wire = an { $at } gibt es keinen Draht für die Zange
refused-no-setting = { $part } ({ $class }) hat keine Einstellung „{ $name }“
refused-regulator = das lässt sich nicht einstellen; er geht bis zum Doppelten des Typenschilds
refused-screw = das lässt sich nicht einstellen; die Schraube geht von 1 bar bis zur Hälfte über das Typenschild
refused-charge = das lässt sich nicht einstellen; die Füllvorrichtung geht bis zur Hälfte über das Typenschild
refused-opening = das lässt sich nicht einstellen; die Drossel geht von 0 bis 200 %
refused-dial = das lässt sich nicht einstellen; die Scheibe geht von der Hälfte des Typenschilds bis zur Hälfte darüber
refused-trimmer = das lässt sich nicht einstellen; der Trimmer geht von 5 bis 500 %
refused-null = das lässt sich nicht einstellen; die Schraube geht bis 50 % nach beiden Seiten
refused-switch = das lässt sich nicht einstellen; er geht bis zum Dreifachen seines Nenndrucks
refused-count = das lässt sich nicht einstellen; die Räder gehen von 1 bis 9999
refused-rail = das lässt sich nicht einstellen; die Schiene ist so lang wie der Hub
refused-time = das lässt sich nicht einstellen; die Scheibe geht von 1 ms bis 10 h

## Warum eine Zeile keine Handlung ist

typed-long = eine Zeile hat höchstens { $most } Byte
typed-less = weniger schreiben
typed-lines = eine Liste hat höchstens { $most } Zeilen
typed-nothing = es steht nichts da
typed-a-verb = ein Verb schreiben, oder help
typed-no-verb = „{ $word }“ ist kein Verb
typed-like = gemeint vielleicht „{ $nearest }“? Mit help kommen alle Verben
typed-help = mit help kommen alle Verben
typed-too-many = „{ $word }“ ist ein Wort zu viel
typed-as = zu schreiben ist { $form }, zum Beispiel „{ $example }“
typed-moment = die Zeit so schreiben: „12 s: press S1“
typed-no-range = „{ $range }“ ist kein Messbereich in ganzen bar
typed-no-choice = „{ $word }“ ist nicht { $choices }
typed-missing-choice = { $choices } fehlt
typed-missing-part = das Teil fehlt
typed-missing-time = die Zeit fehlt
typed-missing-first-point = der erste Punkt fehlt
typed-missing-second-point = der zweite Punkt fehlt
typed-missing-terminal = die Klemme oder das Teil fehlt
typed-missing-test-point = der Messpunkt oder Anschluss fehlt
typed-missing-setting = die Einstellung fehlt
typed-missing-value = der Wert fehlt
typed-missing-part-or-point = das Teil oder der Messpunkt fehlt
typed-missing-port = der Anschluss fehlt
typed-missing-rating = der Nennwert fehlt
typed-missing-prediction = die Vorhersage fehlt
typed-missing-note = die Notiz fehlt
typed-missing-fault = der Fehler fehlt

## Was jedes Verb tut

verb-press = Einen Taster 0,3 s drücken; ein Not-Halt bleibt eingerastet
verb-hold = Einen Taster drücken und gedrückt halten
verb-both = Zwei Taster zugleich drücken, mit jeder Hand einen, und gedrückt halten
verb-release = Loslassen; einen Not-Halt herausziehen
verb-turn = Einen Wahlschalter oder den Griff eines Trenners drehen
verb-wait = Zeit am Stand vergehen lassen
verb-look = Leuchte, Kolbenstange, Handhilfe, Griff, ausgelöste Sicherung, Ölfilm
verb-listen = Brummen, Schnarren, rauschendes Öl, zischende Luft
verb-feel = Wärme und Vibration eines Teils; an einem Anschluss die Verschraubung selbst
verb-plate = Das Typenschild lesen
verb-volts = Spannung des ersten Punkts gegen den zweiten
verb-ohms = Widerstand zwischen zwei Punkten; der Stromkreis muss spannungsfrei sein
verb-continuity = Ob zwei Punkte verbunden sind; der Stromkreis muss spannungsfrei sein
verb-amps = Strom durch das Messgerät zwischen zwei Punkten, etwa über einer offenen Sicherung
verb-clamp = Strom in eine Klemme hinein oder durch einen Draht oder eine Spule
verb-gauge = Druck an einem Messpunkt oder Anschluss, oder des Gases eines Speichers als AC1:gas; die erste Ablesung dort braucht die Zeit zum Anschließen
verb-temperature = Temperatur der Oberfläche
verb-override = Die Handhilfe eines Ventils betätigen
verb-swap-plugs = Die Stecker der Magnete a und b tauschen
verb-adjust = Eine Einstellung ändern: pressure, position, time, opening, precharge, count, current, gain, ramp
verb-isolate = Einen Trenner öffnen
verb-restore = Einen Trenner schließen
verb-lock = Das eigene Schloss an einen offenen Trenner hängen
verb-unlock = Das eigene Schloss abnehmen
verb-tag = Ein Schild an einen Trenner hängen
verb-try = Einen Starttaster drücken, um zu sehen, dass nichts anläuft
verb-prove = Den Spannungsprüfer an einer sicheren Spannungsquelle erproben
verb-bleed = Eine Entlüftungsschraube 30 s öffnen, dann schließen
verb-prop = Eine Stütze unter seine Last stellen
verb-unprop = Die Stütze wegnehmen
verb-open = Die Verschraubung eines Anschlusses öffnen
verb-close = Sie wieder schließen
verb-replace = Ein neues Teil einbauen; kleine brauchen 2 min, große 30 min
verb-repair = Einen Draht und seine Enden reparieren
verb-clean = Ein Ventil oder Kontakte zerlegen, reinigen, wieder einbauen
verb-enter = In den Bereich dessen treten, was er bewegt
verb-leave = Wieder heraustreten
verb-bridge = Eine Leitung über einen Kontakt, eine Sicherung oder einen Draht klemmen
verb-unbridge = Die Leitung abnehmen
verb-fit = Einen Sicherungseinsatz mit diesem Nennwert einsetzen
verb-loosen = Sein Gasventil lösen
verb-call = Den Besitzer des Schlosses daran rufen, damit er es abnimmt
verb-cut = Ein Schloss abnehmen, das nicht das eigene ist
verb-predict = Sagen, was der nächste Schritt zeigen sollte
verb-note = Eine Notiz schreiben
verb-suspect = Die Teile nennen, die noch in Verdacht stehen
verb-name = Den Fehler benennen
verb-hand-back = Die Maschine übergeben; der Versuch endet

## Was Lernende tun

act-both = beide drücken: { $what }
act-press = { $what } drücken
act-hold = { $what } gedrückt halten
act-release = { $what } loslassen
act-turn = { $what } stellen
act-wait = { $what } warten
act-look = { $what } ansehen
act-listen = { $what } abhören
act-feel = { $what } befühlen
act-plate = Schild von { $what } lesen
act-volts = Spannung { $what } messen
act-ohms = Widerstand { $what } messen
act-continuity = Durchgang { $what } prüfen
act-amps = Strom { $what } messen
act-clamp = Stromzange um { $what } legen
act-gauge = Druck an { $what } messen
act-temperature = Temperatur von { $what } messen
act-override = Handhilfe { $what }
act-swap-plugs = Stecker an { $what } tauschen
act-adjust = { $what } einstellen
act-isolate = mit { $what } freischalten
act-restore = { $what } wieder einschalten
act-lock = Schloss an { $what } hängen
act-unlock = Schloss von { $what } abnehmen
act-tag = Schild an { $what } hängen
act-try = an { $what } den Start versuchen
act-bleed = { $what } entlasten
act-prop = { $what } abstützen
act-unprop = Stütze von { $what } wegnehmen
act-open = Verschraubung { $what } öffnen
act-close = Verschraubung { $what } schließen
act-replace = { $what } ersetzen
act-repair = { $what } instand setzen
act-clean = { $what } reinigen
act-enter = in den Bereich von { $what } treten
act-leave = den Bereich von { $what } verlassen
act-bridge = Brücke { $what } legen
act-unbridge = Brücke { $what } wegnehmen
act-fit = Sicherung { $what } einsetzen
act-loosen = Gasventil von { $what } lösen
act-call = nach dem Besitzer des Schlosses an { $what } rufen
act-cut = fremdes Schloss an { $what } abnehmen
act-predict = vorhersagen: { $what }
act-note = notieren: { $what }
act-suspect = verdächtigen: { $what }
act-name = benennen: { $what }
act-prove = Spannungsprüfer erproben
act-hand-back = übergeben
act-isolated = { $act }, freigeschaltet
act-isolated-and-locked = freigeschaltet und verschlossen
act-after = { $act } nach { $step }. { $steps }
word-on = auf Ein
word-off = auf Aus
word-push = drücken
word-pull = ziehen
word-turn = drehen
word-latch = verrasten
word-release = loslassen
word-vacuum = (Unterdruck)
word-pressure = Druck
word-position = Stellung
word-time = Zeit
word-opening = Öffnung
word-null = Nullpunkt
word-precharge = Vorspannung

## Was ein Teil haben kann

fault-in = { $part } { $place } { $mode }
mode-nothing = kein Fehler
mode-open = unterbrochen
mode-shorted-turns = Windungsschluss
mode-wrong-coil = falsche Spule
mode-diode-reversed = Diode verpolt
mode-diode-shorted = Diode kurzgeschlossen
mode-diode-open = Diode unterbrochen
mode-welded = verschweißt
mode-bypassed = überbrückt
mode-never-closes = schließt nie
mode-high-resistance = hoher Übergangswiderstand
mode-broken = gebrochen
mode-loose = lose
mode-to-earth = Erdschluss
mode-blown = durchgebrannt
mode-overrated = zu groß bemessen
mode-weak = zu schwach
mode-primary-open = Primärwicklung unterbrochen
mode-secondary-open = Sekundärwicklung unterbrochen
mode-wrong-tap = falsche Anzapfung
mode-dead = tot
mode-set-low = zu niedrig eingestellt
mode-set-high = zu hoch eingestellt
mode-phase-lost = Phase fehlt
mode-stuck-set = klemmt gesetzt
mode-stuck-reset = klemmt rückgesetzt
mode-stuck-full = klemmt voll
mode-stuck-empty = klemmt leer
mode-misset = falsch eingestellt
mode-low = zu niedrig
mode-stuck-in = klemmt angezogen
mode-stuck-out = klemmt abgefallen
mode-stuck-made = klemmt betätigt
mode-stuck-open = klemmt offen
mode-detached = abgelöst
mode-misadjusted = verstellt
mode-stuck = klemmt
mode-silted = verschlammt
mode-broken-spring = Feder gebrochen
mode-worn-detent = Raste verschlissen
mode-override-a = Handhilfe a verrastet
mode-override-b = Handhilfe b verrastet
mode-plugs-swapped = Stecker vertauscht
mode-leaking = undicht
mode-blocked = verstopft
mode-stuck-shut = klemmt geschlossen
mode-wide-open = ganz offen
mode-worn = verschlissen
mode-jammed = blockiert
mode-overloaded = überlastet
mode-reversed = dreht verkehrt herum
mode-sheared = Kupplung abgeschert
mode-slow = zu langsam
mode-seal-leak = Dichtung undicht
mode-friction = schwergängig
mode-cushion-worn = Dämpfung verschlissen
mode-lost-precharge = Vorspannung verloren
mode-over-precharged = Vorspannung zu hoch
mode-null-shift = Nullpunkt verschoben
mode-burst = geplatzt
mode-flooded = Öl auf der Gasseite
mode-stiff-seal = Dichtungen schwergängig
mode-piston-stuck = Kolben klemmt
mode-free-air = Luft im Öl
mode-clogged = zugesetzt
mode-creeping = schließt nicht
mode-stuck-slow = schaltet nicht um
mode-no-slow = fährt nicht langsam an
mode-transducer-off = Wegaufnehmer verschoben
mode-slow-ramp = Rampe falsch eingestellt
mode-gain-low = Verstärkung zu klein
mode-stuck-on = immer an
mode-stuck-off = immer aus
mode-halted = angehalten
mode-slow-scan = Zyklus zu lang
mode-high-threshold = Schwellen zu hoch

## Wo in einem Teil

role-ball = Kugel
role-bridge = Brücke
role-bypass = Umgehung
role-drain = Leckölleitung
role-element = Filterelement
role-gate = Drosselstelle
role-indicator = Verschmutzungsanzeige
role-lip = Dichtlippe
role-motor = Motor
role-nozzle = Düse
role-orifice = Blende
role-overload = Überlastauslöser
role-piece = Werkstück
role-poppet = Kegel
role-stage = Stufe
role-suction = Saugseite
role-trip = Auslöser
role-tube = Ankerrohr
role-windings = Wicklungen
role-air = Luft
role-amplifier = Verstärker
role-armature = Anker
role-backflow = Rückströmung
role-bellows = Druckbalg
role-bond = Erdverbindung
role-bore = Bohrung
role-call = Abruf
role-cam = Nocken
role-check = Rückschlag
role-coil = Spule
role-compensator = Druckwaage
role-core = Ader
role-drive = Antrieb
role-electronics = Elektronik
role-fuse = Schmelzleiter
role-gas = Gas
role-handle = Griff
role-head = Schaltkopf
role-insulation = Isolierung
role-lamp = Leuchte
role-leak = Leckage
role-leakage = Leckage
role-main = Hauptleitung
role-main-spool = Hauptschieber
role-pilot-check = Vorsteuer-Rückschlagventil
role-outlet = Ausgang
role-pilot = Vorsteuerung
role-piston = Kolben
role-processor = Prozessor
role-pump = Pumpe
role-regulator = Regler
role-relief = Entlastung
role-silencer = Dämpfer
role-source = Quelle
role-spool = Schieber
role-throttle = Drossel
role-face = Messfläche
role-output = Ausgang
role-pulse = Zähl
role-reset = Rückstell
role-set = Setz
role-slow = langsamer
role-start = Anlauf
role-way = Durchgang
role-works = Zählwerk
role-wall = Wand

## Arten von Teilen

part-AcSupply = Wechselspannungsquelle
part-Accumulator = Druckspeicher
part-AirCylinder = Pneumatikzylinder
part-AirIsolator = Absperrschieber
part-AirSupply = Druckluftnetz
part-AirValve = Pneumatikventil
part-Check = Rückschlagventil
part-CircuitBreaker = Leitungsschutzschalter
part-Counter = Vorwahlzähler
part-Counterbalance = Senkbremsventil
part-Cylinder = Zylinder
part-DcSupply = Gleichspannungsquelle
part-EmergencyStop = Not-Halt-Taster
part-Filter = Filter
part-FlowControl = Drosselrückschlagventil
part-FlowRegulator = Stromregelventil
part-Fuse = Sicherung
part-HandSlide = Handschiebeventil
part-Hose = Schlauch
part-HydraulicMotor = Hydromotor
part-Isolator = Hauptschalter
part-Lamp = Leuchtmelder
part-LatchingRelay = bistabiles Relais
part-LimitSwitch = Grenztaster
part-MotorStarter = Motorstarter
part-OilShuttle = Wechselventil
part-PilotCheck = entsperrbares Rückschlagventil
part-PilotRelief = vorgesteuertes Druckbegrenzungsventil
part-Plc = Steuerung
part-PoppetValve = Sitzventil
part-PressureSwitch = Druckschalter
part-ProportionalValve = Proportionalventil
part-ProximitySwitch = Näherungsschalter
part-Pump = Pumpe
part-PushButton = Taster
part-QuickExhaust = Schnellentlüftungsventil
part-Receiver = Druckluftbehälter
part-Rectifier = Gleichrichter
part-Reducing = Druckminderventil
part-Regulator = Wartungseinheit
part-Relay = Relais
part-Relief = Druckbegrenzungsventil
part-Selector = Wahlschalter
part-Sequence = Folgeventil
part-Shuttle = Wechselventil
part-Silencer = Schalldämpfer
part-SoftStart = Anfahrventil
part-Strainer = Saugfilter
part-SuctionCup = Saugnapf
part-Tank = Ölbehälter
part-TerminalBlock = Klemmenleiste
part-ServoValve = Servoventil
part-StopValve = Absperrventil
part-Throttle = Drossel
part-ThrottleCheck = Drosselrückschlagventil
part-Transformer = Transformator
part-Tube = Druckluftleitung
part-TwoHand = Zweihandschaltung
part-TwoStageValve = vorgesteuertes Wegeventil
part-Unloading = Abschaltventil
part-VacuumEjector = Ejektor
part-VacuumSwitch = Vakuumschalter
part-Valve = Wegeventil
part-VariablePump = Verstellpumpe
part-Wire = Leitung
