package understand

var _ = register("nl", true, `
done: gedaan, klaar, afgerond, alles gedaan, is gedaan, gelukt, voltooid, heb het gedaan, training gedaan, alles klaar, is gelukt, helemaal gedaan, afgewerkt
all: alles, alle, alle sets, allemaal
fine: alles goed, alles ok, alles oke, alles prima, alles in orde
except: behalve, uitgezonderd, op na
unsure: in plaats van, gepland, moest, wilde, geprobeerd, doel
but: maar, echter
and: en, daarna, dan
or: of
not: niet, nie, geen, nooit, zonder, niks, nergens, noch
cant: kan niet, kon niet, lukt niet, lukte niet, niet gedaan, niet gelukt, niks gedaan, niets gedaan, niet getraind, overgeslagen, sla over, gemist, vandaag niet, geen training, kan vandaag niet, kon vandaag niet, gaat niet lukken, gaat niet, onmogelijk
later: later, morgen, vanavond, nog niet, straks, doe ik nog, ga ik nog doen, zo meteen
partly: half, helft, de helft, bijna, deels, gedeeltelijk, een deel, niet alles
yes: ja, jep, jazeker, zeker, klopt, ok, oké, okay, inderdaad
no: nee, neen, nope, absoluut niet
help: help, hulp, help me, wat moet ik doen, hoe werkt dit, hoe werkt het, snap het niet, begrijp het niet, uitleg
away: op vakantie, vakantie, in het buitenland, buitenland, weg, afwezig, ben weg, met verlof
thanks: bedankt, dank je, dankjewel, dank, thanks, hallo, hoi, goedemorgen, hey
sore: spierpijn, stijf, stijve, stijfheid, gespannen, zwaar, zware, vermoeid, strak, beurs
pain: kniepijn, kniepijnen, rugpijn, lage rugpijn, enkelpijn, schouderpijn, heuppijn, liespijn, nekpijn, voetpijn, hielpijn, kuitpijn, pijn, pijnlijk, pijnen, doet pijn, doen pijn, zeer, doet zeer, steek, steken, stekend, blessure, geblesseerd, verrekt, verrekking, kramp, krampen, brandt, scheut, scheuten, trekt, zeurt, last van
side left: links, linker, linkerbeen, linkerkant, l
side right: rechts, rechter, rechterbeen, rechterkant, r
side both: beide, allebei, beide kanten
kg: kg, kgs, kilo, kilos, kilo's, kilogram, k
lb: lb, lbs
pound: pond, ponden
minutes: min, mins, minuut, minuten, m
hour: h, u, uur, uren
seconds: s, sec, seconde, seconden
by: keer, maal
at: met, op, bij, à, a
plus: plus, extra, erbij
set: set, sets, serie, series, reeks, reeksen
rep: herh, herhaling, herhalingen, reps, rep, herhalinkje
last: laatste, de laatste
written: zoals gepland, zoals voorgeschreven, zelfde gewicht, volgens schema, volgens plan, zoals op de kaart
rest: rust, pauze
bodyweight: lichaamsgewicht, eigen gewicht, lg, zonder gewicht
eachhand: per hand, elke hand, in elke hand, iedere hand, per dumbbell, per halter
eachside: per kant, elke kant, per been, elk been, per zijde
total: totaal, in totaal, samen
rir: rir, in reserve, reserve
rirbefore: had nog, er konden nog, konden nog, kon nog, nog, zaten nog, er zaten nog, er zat nog
rirafter: over, in de tank, meer, erin, te gaan
rpe: rpe, inspanning, sessie rpe
session: sessie rpe, sessie, hele sessie, hele training
fail: falen, gefaald, tot falen, mislukt, mislukte
missed: gemiste, miste, tekort
outof: van de, uit, van
n 0: nul, geen enkele, niets
n 1: een herhaling
n 2: twee
n 3: drie
n 4: vier
n 5: vijf
n 6: zes
n 7: zeven
n 8: acht
n 9: negen
n 10: tien
n 11: elf
n 12: twaalf
ord 1: eerste, 1e
ord 2: tweede, 2e
ord 3: derde, 3e
ord 4: vierde, 4e
ord 5: vijfde, 5e
ord 6: zesde, 6e
region hamstring: hamstring, hamstrings, hammies, achterkant bovenbeen, achterkant dij, achterkant van mijn bovenbeen
region quadriceps: quadriceps, quads, quad, voorkant bovenbeen, voorkant dij, voorkant van mijn bovenbeen
region adductor: liespijn, lies, liezen, adductor, adductoren, binnenkant dij
region glute: bil, billen, bilspier, bilspieren, kont
region calf: kuitpijn, kuit, kuiten, kuitspier
region hip_front: heupbuiger, heupbuigers, psoas
region low_back: lage rugpijn, onderrug, lage rug, onder in de rug, lendenen
region upper_back: bovenrug, hoge rug, trapezius, schouderblad, schouderbladen
region trunk: buik, buikspier, buikspieren, flank, romp
region chest: borst, borstspier, borstspieren
region shoulder: schouderpijn, schouder, schouders
region arm: arm, armen, biceps, triceps, onderarm, bovenarm
region neck: nekpijn, nek, hals
region knee: kniepijn, kniepijnen, knie, knieën, knieschijf, meniscus, kniepees
region tibial_tubercle: tuberositas, bobbel onder de knie, knobbel onder de knie
region shin: scheen, schenen, scheenbeen
region ankle: enkelpijn, enkel, enkels
region achilles: achillespees, achilles
region heel: hielpijn, hiel, hielen, hak
region foot: voetpijn, voet, voeten, teen, tenen, voetzool
region hip: heuppijn, heup, heupen
region elbow: elleboog, ellebogen
region wrist: pols, polsen, hand, handen, vinger, duim
vague hamstring quadriceps adductor glute calf: been, benen
vague hamstring quadriceps adductor: bovenbeen, bovenbenen, dij, dijen
vague low_back upper_back: rugpijn, rug
vague hamstring quadriceps glute calf low_back shoulder: hele lichaam, hele lijf, overal
reason travel: reis, op reis, onderweg, vlucht, vliegtuig, vliegveld, in de bus, in de trein, reizen, reisdag
reason ill: ziek, griep, verkouden, verkoudheid, misselijk, overgegeven, overgeven, covid, corona, buikgriep, niet lekker, grieperig
reason sore: te veel spierpijn, veel spierpijn, dode benen
reason pain: geblesseerd, blessure, te veel pijn
reason no_time: geen tijd, tijdgebrek, druk, te druk, examen, examens, toets, tentamen, school, werk, les
reason no_gym: geen gym, geen sportschool, sportschool dicht, gym dicht, sportschool gesloten, geen krachthonk, krachthonk dicht, geen gewichten, geen materiaal, gym gesloten, sportschool was dicht
reason private: familie, persoonlijk, privé, bruiloft, begrafenis, prive, baby, bevalling
reason other: andere reden, iets anders, moe, te moe, uitgeput, vergeten, geen zin, kapot
ex squat: squat, squats, kniebuiging, kniebuigingen
ex split_squat: bulgarian, bulgaarse, bulgaarse squat, split squat, split squats
ex deadlift: deadlift, deadlifts
ex romanian_deadlift: roemeense deadlift, roemeense, rdl
ex nordic: nordic, nordics
ex copenhagen: copenhagen, kopenhagen
ex bench_press: bankdrukken, bench
ex hip_thrust: heupstoot, hip thrust
ex step_up: opstap, opstappen, step ups
ex lunge: uitvalspas, uitvalspassen, lunges
ex pull_up: optrekken, pull ups
ex push_up: opdrukken, push ups
ex row: roeien
ex calf_raise: kuitheffen, calf raises
ex leg_curl: leg curl
ex leg_press: beenpers, leg press
ex plank: plank
exword: heffen, curl, curls, pers, machine, rekken, sprongen, drukken
filler: de, het, een, ik, je, jij, hij, ze, wij, we, mij, me, mijn, m'n, is, was, waren, zijn, ben, heb, had, heeft, hebben, dit, dat, die, in, aan, er, om, te, van mijn, in mijn, in de, vandaag, gisteren, heel, erg, zo, wel, best, goed, goede, lekker, prima, top, moeilijk, makkelijk, licht, lichte, coach, trainer, gast, ook, alleen, maar een, nu, hier, daar, sinds, tijdens, voor, na, omdat, als, wat, hoe, voel, voelt, voelde, gevoel, beetje, een beetje, veel, weinig, ongeveer, gewicht, getild, training, wedstrijd, gym, krachthonk, beter, slechter, weer, toch, gewoon, even, helaas, stang, halters, week, dag, dagen, nacht, ochtend, sterk, altijd, dus, ging, gaat goed, wil, moet, mag, zou, zal, werd, wordt, lopen wel, echt, knap, fijn, mooi, leven, liep, rusten, school uit, slecht, geslapen, maten, jullie

sign chest_pain: pijn op de borst, pijn op mijn borst, borstpijn, pijn in mijn borst, pijn in de borst, druk op de borst, druk op mijn borst, beklemming, beklemmend gevoel, hartaanval, steken in de borst, benauwd op de borst
sign fainting: flauwgevallen, flauw gevallen, flauwvallen, val flauw, viel flauw, bewusteloos, buiten bewustzijn, weggevallen, bewustzijn verloren, buiten westen, in elkaar gezakt, zwart voor mijn ogen, zwart voor de ogen, ?duizelig, ?duizeligheid, ?licht in het hoofd, knock out
sign palpitations: hartkloppingen, hartklopping, hart op hol, hart slaat over, hartritmestoornis, hart bonkt, hartoverslagen
sign breathless: kortademig, kortademigheid, ademnood, krijg geen adem, krijg geen lucht, kreeg geen lucht, kan niet ademen, kon niet ademen, benauwd, moeite met ademen, geen lucht, ?buiten adem
sign head_impact: hoofd gestoten, klap op mijn hoofd, klap op het hoofd, klap tegen mijn hoofd, hersenschudding, kopstoot, bal tegen mijn hoofd, elleboog tegen mijn hoofd, met de hoofden tegen elkaar, op mijn hoofd gevallen, hoofdletsel, ?hoofdpijn, sterretjes gezien, sterretjes
sign confusion: verward, verwardheid, gedesoriënteerd, weet niet waar ik ben, herinner me niks, herinner me niets, geheugenverlies, wazig zien, zie wazig, zie dubbel, in de war
sign limb_weakness: kan mijn been niet bewegen, kan mijn arm niet bewegen, voel mijn been niet, voel mijn arm niet, voel mijn benen niet, krachtverlies, geen kracht in mijn been, geen kracht in mijn arm, zwakte in mijn been, zwakte in mijn arm, zak door mijn been, klapvoet, verlamd, verlamming
sign saddle_numbness: gevoelloos tussen mijn benen, doof gevoel tussen mijn benen, gevoelloze lies, verdoofd kruis, doof gevoel in mijn kruis, gevoelloos kruis
sign bladder_bowel: kan niet plassen, kan niet meer plassen, in mijn broek geplast, in mijn broek gepoept, incontinent, incontinentie, blaas niet onder controle, plas niet ophouden, kan mijn plas niet ophouden, controle over mijn blaas verloren
sign calf_swollen_warm: kuit gezwollen, gezwollen kuit, dikke kuit, kuit dik, kuit warm, kuit rood, trombose, bloedprop, kuit is dik, kuit opgezwollen
sign cannot_bear_weight: kan niet lopen, kan niet meer lopen, kan niet staan, kan niet op mijn been staan, kan er niet op staan, kan niet steunen, niet belasten, kan mijn been niet belasten, kan mijn voet niet belasten, op krukken, kan niet op mijn enkel staan, door mijn knie gezakt, door mijn enkel gezakt, zakte erdoor, knikte weg
sign deformity: misvormd, vervormd, standsafwijking, uit de kom, ontwricht, bot steekt uit, gebroken, breuk, botbreuk, been gebroken, arm gebroken, staat scheef
sign pop: knapte, geknapt, knak, gekraakt, een krak, hoorde een knap, voelde een knap, hoorde iets knappen, voelde iets knappen, plopte, knal, gescheurd, scheur, scheurde, zweepslag, spierscheuring, afgescheurd
sign swelling: gezwollen, zwelling, opgezwollen, zwelt, opgezet, gezwollen knie, zwelt op, dik geworden
sign limp: mank, hink, hinken, hinkend, trek met mijn been, hinkelen, strompel, strompelen, loop mank
sign sudden_onset: plotselinge pijn, plotseling pijn, ineens pijn, opeens pijn, schoot erin, plots pijn, plotse pijn
sign dark_urine: donkere urine, bruine urine, urine donker, urine bruin, donkere plas, bruine plas, plas is bruin, plas is donker, cola urine, bloed in mijn urine, bloed in mijn plas, bloed plassen, rode urine, zwarte urine, rabdomyolyse
sign fever: koorts, koortsig, koude rillingen, rillingen, verhoging, ?temperatuur
sign testicular_pain: testikel, testikels, teelbal, teelballen, zaadbal, pijn aan mijn ballen, pijn in mijn ballen, trap in mijn ballen, balzak, schop in mijn kruis
sign distress: zelfmoord, suïcide, suïcidaal, zelfdoding, mezelf doden, wil dood, wil niet meer leven, niet meer leven, wil sterven, er een eind aan maken, er een einde aan maken, mezelf pijn doen, mezelf snijden, snijd mezelf, zelfbeschadiging, automutilatie, beter dood, misbruik, misbruikt, misbruikte, raakt me aan, raakte me aan, betast, slaat me, sloeg me, mishandeld, mishandelt, mishandeling, verkracht, verkrachting, aangerand, aanranding, lastiggevallen, seksuele intimidatie, bedreigt me, gechanteerd, chanteert, gepest, bang om naar huis
sign other: ?noodgeval, ambulance, ?ziekenhuis, stuiptrekkingen, epileptische aanval, beroerte, bloed ophoesten, hoest bloed, allergische reactie
g chest: borst, borstkas, borstbeen
g head: hoofd, schedel, slaap, gezicht
g calf: kuit, kuiten
g pain: pijnlijke
g pressure: druk, drukkend, beklemmend, strak, knellend, brandend
g sudden: plotseling, plotselinge, plots, plotse, ineens, opeens, uit het niets
g hit: klap, gestoten, stoot, geraakt, gebotst, botsing, elleboogstoot, kniestoot, trap, gevallen, schop, tik
g swollen: gezwollen, dik, dikke, zwelling, opgezwollen, als een ballon
g warm: warm, warme, heet, rood, rode
g numb: gevoelloos, doof gevoel, verdoofd, tintelingen, tintelt, tinteling, slapend
g saddle: kruis, tussen mijn benen, geslachtsdelen, tussen de benen, bilnaad
g weak: zwak, zwakke, zwakte, krachteloos, zakt door, slap
g powerless: geen kracht, geen kracht meer, krachteloos
g joint: knie, enkel, voet, scheenbeen, elleboog, pols, vinger
g huge: enorm, gigantisch, reusachtig
g degrees: graden, temperatuur, °
g limb: been, benen, arm, armen, voet, hand
g dark: donker, donkere, bruin, bruine, cola, bloed, rode, zwarte
g urine: urine, plas, pis, plassen, pissen, urineren
g testicle: testikel*, teelbal*, ballen
g breath: ademen, adem, lucht, ademhalen
g heart: hart, hartslag
g racing: op hol, bonkt, slaat over, onregelmatig, fladdert, tekeer, racet, gek, als een gek
g cannot: kan niet, kan niet meer, kon niet, kan geen, krijg geen, kreeg geen, kan nauwelijks, kan amper, moeite, moeilijk, lukt niet, kan mijn
g walk: lopen, staan, steunen, belasten, wandelen
g move: bewegen, optillen, voelen
g control: controle, ophouden
g bladder: blaas, darmen, ontlasting, plas
negfill: de, het, een, last, van, meer, heb, had, gehad, enkele, op, in, mijn, echte, aan, of, ook
`)
