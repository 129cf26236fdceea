package understand

var _ = register("de", true, `
done: fertig, erledigt, gemacht, geschafft, alles gemacht, alles erledigt, hab ich gemacht, habe ich gemacht, abgeschlossen, durch, bin durch, bin fertig, alles fertig, training gemacht, einheit gemacht, alles geschafft, komplett
all: alles, alle, alle sätze, komplett alles
fine: alles gut, alles ok, alles okay, passt alles, alles bestens, alles in ordnung
except: außer, bis auf, ausgenommen
unsure: statt, anstatt, geplant, sollte, sollten, wollte, versucht, ziel
but: aber, jedoch, allerdings
and: und, dann, danach, u
or: oder, bis
not: nicht, nich, kein, keine, keinen, keinem, keiner, keinerlei, nie, ohne, nix, niemals, weder, noch nie
cant: kann nicht, konnte nicht, kann heute nicht, konnte heute nicht, geht nicht, ging nicht, nicht gemacht, nicht geschafft, nichts gemacht, habe nicht trainiert, hab nicht trainiert, nicht trainiert, ausgelassen, ausgefallen, ausfallen lassen, verpasst, heute nicht, keine einheit, schaffe es nicht, schaff es nicht, nicht möglich
later: später, morgen, heute abend, noch nicht, mache ich noch, mach ich noch, mach ich später, nachher, gleich
partly: halb, zur hälfte, hälfte, fast, teilweise, einen teil, beinahe, nicht alles, nur teilweise
yes: ja, jo, jep, jawohl, klar, genau, ok, okay, richtig, stimmt
no: nein, nee, nö, auf keinen fall
help: hilfe, hilf mir, was soll ich machen, was muss ich tun, wie geht das, wie funktioniert das, verstehe nicht, verstehe das nicht, versteh ich nicht
away: im urlaub, urlaub, verreist, unterwegs im ausland, im ausland, nicht da, abwesend, bei der nationalmannschaft
thanks: danke, vielen dank, dankeschön, merci, hallo, moin, servus, guten morgen, hi, grüß dich
sore: muskelkater, kater, steif, steifheit, verspannt, verspannung, fest, schwer, schwere, müde beine, verhärtet, angespannt
pain: knieschmerz, knieschmerzen, rückenschmerz, rückenschmerzen, knöchelschmerzen, schulterschmerz, schulterschmerzen, hüftschmerz, hüftschmerzen, leistenschmerz, leistenschmerzen, nackenschmerz, nackenschmerzen, fußschmerzen, fersenschmerz, fersenschmerzen, wadenschmerz, wadenschmerzen, wadenkrampf, schmerz, schmerzen, schmerzt, schmerzend, weh, tut weh, tun weh, wehgetan, stechen, sticht, stechend, ziehen, zieht, zwickt, zwicken, verletzt, verletzung, zerrung, gezerrt, krampf, krämpfe, brennt, aua, beschwerden
side left: links, linke, linker, linkes, linken, l, li
side right: rechts, rechte, rechter, rechtes, rechten, re, r
side both: beide, beiden, beidseitig, beide seiten
kg: kg, kgs, kilo, kilos, kilogramm, k
lb: lb, lbs
pound: pfund, pfd
minutes: min, mins, minute, minuten, m
hour: h, std, stunde, stunden
seconds: s, sek, sec, sekunde, sekunden
by: mal, à
at: mit, bei, auf, je, a
plus: plus, zusatz, zusatzgewicht, extra
set: satz, sätze, sätzen, serie, serien, set, sets, durchgang, durchgänge
rep: wdh, wdhs, wiederholung, wiederholungen, reps, rep, wh
last: letzter, letzte, letzten, letztes, der letzte, im letzten
written: wie geplant, wie geschrieben, wie vorgegeben, gleiches gewicht, wie auf der karte, vorgegebenes gewicht, nach plan, laut plan
rest: pause, pausen, rast
bodyweight: körpergewicht, eigengewicht, kg körper, bw, ohne gewicht, ohne zusatzgewicht
eachhand: pro hand, je hand, jede hand, in jeder hand, pro kurzhantel, je kurzhantel, pro hantel
eachside: pro seite, je seite, jede seite, pro bein, je bein, jedes bein
total: insgesamt, gesamt, zusammen
rir: rir, in reserve, reserve, in der reserve
rirbefore: hatte noch, noch, es gingen noch, gingen noch, hätte noch, waren noch, wären noch, hätten noch, konnte noch
rirafter: im tank, übrig, mehr, drin, geschafft mehr, gegangen, in petto, im tank noch, luft
rpe: rpe, anstrengung, session rpe, einheit rpe
session: session rpe, gesamte einheit, einheit, ganze einheit, einheit rpe
fail: muskelversagen, versagen, bis zum versagen, gescheitert, fehlgeschlagen, versagt
missed: gefehlt, fehlte, fehlten, nicht mehr geschafft
outof: von
n 0: null, keine, nichts
n 1: eins, eine
n 2: zwei
n 3: drei
n 4: vier
n 5: fünf
n 6: sechs
n 7: sieben
n 8: acht
n 9: neun
n 10: zehn
n 11: elf
n 12: zwölf
ord 1: erster, erste, ersten
ord 2: zweiter, zweite, zweiten
ord 3: dritter, dritte, dritten
ord 4: vierter, vierte, vierten
ord 5: fünfter, fünfte, fünften
ord 6: sechster, sechste, sechsten
region hamstring: beinbeuger, hintere oberschenkel, hinterer oberschenkel, hinteren oberschenkel, oberschenkelrückseite, oberschenkel hinten, hamstrings, ischios, beinrückseite
region quadriceps: quadrizeps, quads, vorderer oberschenkel, vordere oberschenkel, vorderen oberschenkel, oberschenkel vorne, oberschenkelvorderseite, beinstrecker
region adductor: leistenschmerz, leistenschmerzen, leiste, leisten, adduktor, adduktoren, innerer oberschenkel
region glute: gesäß, po, hintern, glutes, gluteus, arsch, pobacke
region calf: wadenschmerz, wadenschmerzen, wadenkrampf, wade, waden, wadenmuskel
region hip_front: hüftbeuger, hüftbeugern, psoas
region low_back: unterer rücken, unteren rücken, untere rücken, lendenwirbel, lws, kreuz, lendenwirbelsäule, rücken unten
region upper_back: oberer rücken, oberen rücken, obere rücken, nackenmuskel oben, trapez, trapezius, schulterblatt, latissimus, bws
region trunk: bauch, bauchmuskeln, bauchmuskel, rumpf, flanke
region chest: brust, brustmuskel, brustmuskeln
region shoulder: schulterschmerz, schulterschmerzen, schulter, schultern
region arm: arm, arme, bizeps, trizeps, unterarm, oberarm
region neck: nackenschmerz, nackenschmerzen, nacken, hals, hws
region knee: knieschmerz, knieschmerzen, knie, knien, kniescheibe, patella, patellasehne, meniskus, kreuzband
region tibial_tubercle: tuberositas, schienbeinkopf, knubbel unter dem knie
region shin: schienbein, schienbeine
region ankle: knöchelschmerzen, knöchel, sprunggelenk, sprunggelenke, fußgelenk
region achilles: achillessehne, achilles
region heel: fersenschmerz, fersenschmerzen, ferse, fersen
region foot: fußschmerzen, fuß, füße, zeh, zehe, zehen, fußsohle, mittelfuß
region hip: hüftschmerz, hüftschmerzen, hüfte, hüften
region elbow: ellbogen, ellenbogen
region wrist: handgelenk, handgelenke, hand, hände, finger, daumen
vague hamstring quadriceps adductor glute calf: bein, beine, beinen
vague hamstring quadriceps adductor: oberschenkel, schenkel
vague low_back upper_back: rückenschmerz, rückenschmerzen, rücken
vague hamstring quadriceps glute calf low_back shoulder: ganzer körper, überall, ganze körper
reason travel: reise, auf reisen, unterwegs, flug, flugzeug, flughafen, im bus, im zug, anreise, fahrt, auf der fahrt
reason ill: krank, erkältet, erkältung, grippe, übel, erbrochen, kotzen, gekotzt, magen darm, covid, corona, unwohl, kränklich
reason sore: zu viel muskelkater, starker muskelkater, starken muskelkater, beine tot
reason pain: verletzt, verletzung, zu starke schmerzen
reason no_time: keine zeit, zu wenig zeit, zeitmangel, beschäftigt, prüfung, prüfungen, klausur, schule, arbeit, uni, stress
reason no_gym: kein gym, kein fitnessstudio, kein kraftraum, kraftraum zu, studio zu, gym zu, studio geschlossen, kraftraum geschlossen, keine geräte, keine gewichte, keine hanteln, gym geschlossen, kein studio
reason private: familie, familiär, privat, persönlich, hochzeit, beerdigung, private gründe, baby, geburt
reason other: anderer grund, was anderes, müde, zu müde, kaputt, erschöpft, vergessen, keine lust, keinen bock
ex squat: kniebeuge, kniebeugen, squat, squats, beugen
ex back_squat: langhantelkniebeuge
ex split_squat: bulgarische kniebeuge, bulgarian, bulgarische, ausfallkniebeuge, split squats
ex deadlift: kreuzheben
ex romanian_deadlift: rumänisches kreuzheben, rdl
ex nordic: nordics, nordic, nordischer beinbeuger, nordic curls
ex copenhagen: copenhagen, kopenhagener
ex bench_press: bankdrücken, bank
ex hip_thrust: hüftheben, beckenheben
ex step_up: aufsteiger, step ups
ex lunge: ausfallschritt, ausfallschritte
ex pull_up: klimmzug, klimmzüge
ex push_up: liegestütz, liegestütze
ex row: rudern
ex calf_raise: wadenheben
ex leg_curl: beincurl, beincurls
ex leg_press: beinpresse
ex plank: unterarmstütz, plank, planks
exword: heben, drücken, curl, curls, presse, maschine, strecken, dehnen, sprünge, strecker
filler: der, die, das, den, dem, des, ein, einen, einem, einer, ich, du, er, sie, es, wir, mir, mich, mein, meine, meinen, meinem, meiner, ist, war, waren, sind, bin, hab, habe, hatte, hat, heute, gestern, sehr, so, echt, gut, gute, super, hart, leicht, schwierig, trainer, coach, digga, alter, bitte, auch, nur, schon, jetzt, hier, da, im, in, am, an, vom, beim, seit, während, vor, nach, weil, wie, was, wo, zum, zur, für, etwas, bisschen, ein bisschen, wenig, viel, ziemlich, ganz, ungefähr, circa, ca, gewicht, gehoben, training, einheit heute, spiel, gym, kraftraum, fühlt, fühlt sich, sich, gefühlt, besser, schlechter, wieder, mal wieder, trotzdem, doch, halt, eben, leider, los, stange, hanteln, alles gut, woche, tag, tage, nacht, stark, mehr als, immer, dass, wenn, denn, man, unter, über, um, durchgezogen, hätte, wäre, gerne, gern, na, naja, schade, klasse, feier, feiern, leben, lief, lief gut, laufen, sitzen, stehen, gehen, essen, schlafen, geschlafen, schlecht, gerade, grad

sign chest_pain: brustschmerz, brustschmerzen, schmerzen in der brust, schmerz in der brust, stechen in der brust, druck auf der brust, engegefühl, brustenge, enge in der brust, brust tut weh, herzschmerzen, herzinfarkt, herzstechen, stiche in der brust
sign fainting: ohnmächtig, ohnmacht, bewusstlos, bewusstlosigkeit, umgekippt, weggetreten, zusammengebrochen, kollabiert, schwarz vor augen, blackout, synkope, ?schwindel, ?schwindelig, ?schwindlig, fast umgekippt, bewusstsein verloren
sign palpitations: herzrasen, herzstolpern, herzklopfen, herz rast, herz stolpert, herzrhythmusstörung, herzrhythmusstörungen
sign breathless: atemnot, keine luft, krieg keine luft, kriege keine luft, bekomme keine luft, luftnot, kurzatmig, kann nicht atmen, konnte nicht atmen, schwer zu atmen, schwer luft, ?außer atem
sign head_impact: schlag auf den kopf, kopf gestoßen, kopf angeschlagen, auf den kopf gefallen, gehirnerschütterung, kopfverletzung, kopf an kopf, zusammenprall, ball an den kopf, ball gegen den kopf, ellbogen an den kopf, kopfprellung, kopfstoß, ?kopfschmerzen, ?kopfweh, sterne gesehen, aufprall mit dem kopf
sign confusion: verwirrt, verwirrtheit, desorientiert, orientierungslos, gedächtnisverlust, kann mich nicht erinnern, weiß nicht wo ich bin, sehe doppelt, doppelbilder, verschwommen, sehe verschwommen
sign limb_weakness: kann mein bein nicht bewegen, kann bein nicht bewegen, kann arm nicht bewegen, kann meinen arm nicht bewegen, bein gibt nach, spüre mein bein nicht, spüre meinen arm nicht, spüre den fuß nicht, lähmung, gelähmt, keine kraft im bein, keine kraft im arm, kraftverlust, fußheberschwäche, bein eingeknickt, schwäche im bein, schwäche im arm
sign saddle_numbness: taub im schritt, taub zwischen den beinen, taubheit zwischen den beinen, taubheit im schritt, taubheitsgefühl im schritt, genital taub, genitalbereich taub, reithosen
sign bladder_bowel: kann nicht pinkeln, kann nicht wasserlassen, kann kein wasser lassen, kann nicht urinieren, eingenässt, in die hose gemacht, eingepinkelt, inkontinenz, inkontinent, blase nicht kontrollieren, kann urin nicht halten, stuhl nicht halten, kontrolle über die blase verloren, eingekotet
sign calf_swollen_warm: wade geschwollen, geschwollene wade, wade dick, wade heiß, wade warm, dicke wade, thrombose, blutgerinnsel
sign cannot_bear_weight: kann nicht auftreten, kann nicht mehr auftreten, kann nicht laufen, kann nicht mehr laufen, kann nicht gehen, kann nicht mehr gehen, nicht auftreten, nicht belasten, kann bein nicht belasten, kann nicht stehen, auf krücken, kann fuß nicht belasten, weggeknickt, eingeknickt, wegknickt, gibt unter mir nach
sign deformity: deformiert, verformt, fehlstellung, ausgekugelt, ausgerenkt, luxiert, luxation, knochen schaut raus, gebrochen, knochenbruch, fraktur, bein gebrochen, arm gebrochen, steht schief ab
sign pop: knall, geknallt, knacks, geknackt, knacken gehört, es hat geknackt, hat geschnalzt, schnalzen, peitschenknall, plopp, gerissen, riss, abgerissen, muskelriss, etwas gerissen, muskelfaserriss, kreuzbandriss
sign swelling: geschwollen, schwellung, angeschwollen, schwillt, dick geworden, schwellungen, schwillt an, geschwollenes, geschwollene, geschwollener
sign limp: humpel, humpeln, humpele, humple, humpelt, hinken, hinke, hinkt, gehumpelt
sign sudden_onset: plötzlich schmerz, plötzlicher schmerz, plötzliche schmerzen, plötzlich schmerzen, eingeschossen, plötzlich reingeschossen, plötzlich stechen
sign dark_urine: dunkler urin, dunklen urin, brauner urin, braunen urin, urin dunkel, urin braun, pisse braun, pipi dunkel, cola urin, blut im urin, roter urin, colafarbener urin, urin wie cola, rhabdomyolyse
sign fever: fieber, fiebrig, schüttelfrost, erhöhte temperatur, temperatur, 38 fieber, fieberhaft
sign testicular_pain: hoden, hodenschmerz, hodenschmerzen, eier tun weh, tritt in die eier, sack tut weh, hodensack
sign distress: selbstmord, suizid, suizidal, umbringen, mich umbringen, bring mich um, will sterben, sterben will, will nicht mehr leben, nicht mehr leben, leben beenden, alles beenden, mir das leben nehmen, ritze mich, ritzen, selbst verletzen, selbstverletzung, mir was antun, mir etwas antun, besser tot, wäre lieber tot, missbrauch, missbraucht, missbrauchte, fasst mich an, angefasst, begrapscht, schlägt mich, misshandelt, misshandlung, vergewaltigt, vergewaltigung, belästigt, belästigung, bedroht mich, erpresst, gemobbt, mobbing, angst nach hause, ?hoffnungslos
sign other: ?notfall, notarzt, krankenwagen, ?krankenhaus, krampfanfall, schlaganfall, huste blut, blut gespuckt, allergische reaktion
g chest: brust, brustkorb, brustbein
g head: kopf, schädel, schläfe, gesicht
g calf: wade, waden
g pain: schmerzhaft, wehtut
g pressure: druck, drückt, enge, eng, beklemmung, brennen
g sudden: plötzlich, plötzlicher, plötzliche, auf einmal, schlagartig, aus dem nichts
g hit: schlag, gestoßen, angeschlagen, getroffen, zusammengestoßen, gefallen, gestürzt, geknallt, tritt, ellbogencheck, aufgeprallt, angehauen, gerammt
g swollen: geschwollen, dick, schwellung, angeschwollen, geschwollene, wie ein ballon
g warm: warm, heiß, rot
g numb: taub, taubheit, kribbeln, kribbelt, gefühllos, taubheitsgefühl, eingeschlafen
g saddle: schritt, genital, genitalien, zwischen den beinen, damm, intimbereich
g weak: schwach, schwäche, kraftlos, gibt nach, weggeknickt, eingeknickt
g powerless: keine kraft, keine kraft mehr, kraftlos
g joint: knie, knöchel, sprunggelenk, fuß, schienbein, ellbogen, ellenbogen, handgelenk, finger
g huge: riesig, riesengroß, enorm, monströs
g degrees: grad, temperatur, °
g limb: bein, beine, arm, arme, fuß, hand
g dark: dunkel, dunkler, braun, brauner, cola, blut, rot, schwarz
g urine: urin, pipi, pisse, pinkeln, urinieren, wasserlassen
g testicle: hoden*, eier, sack
g breath: atmen, luft, atem
g heart: herz, puls
g racing: rast, rasen, stolpert, unregelmäßig, klopft, flattert, aussetzer, verrückt, wie wild, spinnt
g cannot: kann nicht, kann kaum, kann nicht mehr, kann kein, konnte nicht, krieg keine, kriege keine, bekomme keine, bekam keine, schwer, kaum, nicht mehr
g walk: auftreten, laufen, gehen, belasten, stehen
g move: bewegen, heben, spüren, spüre, anheben
g control: kontrolle, kontrollieren, nicht halten
g bladder: blase, darm, stuhl
negfill: der, die, das, in, am, an, auf, mehr, die geringsten, irgendwelche, habe, hatte, hab, gehabt, starke, einen, eine, den, dem, im, so, mein, meine
`)
