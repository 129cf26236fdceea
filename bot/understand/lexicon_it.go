package understand

var _ = register("it", true, `
done: fatto, fatta, finito, finita, completato, completata, tutto fatto, ho fatto, ho finito, ho fatto tutto, terminato, terminata, tutto ok fatto, allenamento fatto, seduta fatta, concluso, ho terminato, ho completato
all: tutto, tutte, tutti, tutte le serie
fine: tutto bene, tutto ok, tutto a posto
except: tranne, eccetto, salvo, a parte
unsure: invece di, al posto di, previsto, previsti, dovevo, volevo, provato, obiettivo
but: ma, però, tuttavia
and: e, ed, poi, dopo
or: o, oppure
not: non, nessun, nessuna, nessuno, mai, senza, niente, né
cant: non posso, non riesco, non ho potuto, non sono riuscito, non sono riuscita, non fatto, non ho fatto, non l'ho fatto, non mi sono allenato, non mi sono allenata, saltato, saltata, ho saltato, impossibile, oggi no, niente allenamento, non ce la faccio, niente palestra oggi, fatto niente, non mi alleno
later: più tardi, domani, stasera, non ancora, lo faccio dopo, lo farò, nel pomeriggio
partly: metà, a metà, quasi, in parte, una parte, mezzo, non tutto
yes: sì, si, certo, ok, okay, esatto, va bene, giusto, sicuro
no: no, nah, per niente, per nulla
help: aiuto, aiutami, cosa devo fare, cosa faccio, come funziona, non capisco, non ho capito, istruzioni
away: in vacanza, vacanza, vacanze, all'estero, via, sono via, in ferie, ferie, in nazionale
thanks: grazie, grazie mille, ciao, buongiorno, buonasera, salve
sore: indolenzito, indolenzita, indolenziti, indolenzite, indolenzimento, rigido, rigida, rigidi, rigidità, doms, teso, tesa, contratto, contratta, contrattura, pesante, pesanti, affaticato, affaticati, imballato, imballate
pain: dolore, dolori, fa male, fanno male, male, mi fa male, dolente, fitta, fitte, infortunio, infortunato, infortunata, stiramento, stirato, strappo muscolare, crampo, crampi, bruciore, fastidio, pizzica, tira
side left: sinistro, sinistra, sx, sin, sinistri
side right: destro, destra, dx, dex, destri
side both: entrambi, entrambe, tutti e due, tutte e due
kg: kg, kgs, kilo, chilo, chili, kili, chilogrammi, k
lb: lb, lbs
pound: libbra, libbre
minutes: min, mins, minuto, minuti, m
hour: h, ora, ore
seconds: s, sec, secs, secondo, secondi
by: per, volte
at: a, con, su
plus: più, extra, zavorra, aggiunti
set: serie, set, sets
rep: rip, reps, rep, ripetizione, ripetizioni, ripe
last: ultima, ultimo, l'ultima, nell'ultima
written: come scritto, come previsto, stesso carico, stesso peso, come da scheda, carico previsto, come in scheda
rest: riposo, recupero, pausa
bodyweight: corpo libero, a corpo libero, peso corporeo, senza peso, senza zavorra
eachhand: per mano, ogni mano, in ogni mano, ciascuna mano, per manubrio, ogni manubrio
eachside: per lato, ogni lato, per gamba, ogni gamba, per parte
total: in totale, totale, in tutto
rir: rir, in riserva, riserva, di riserva, di margine
rirbefore: ne avevo, avevo ancora, ne avevo ancora, ancora, potevo farne, ne restavano, restavano, potevo fare, mancavano, ne avanzavano
rirafter: nel serbatoio, in canna, ancora, in più, di scorta, di riserva
rpe: rpe, sforzo, rpe della seduta, rpe seduta
session: rpe della seduta, rpe seduta, seduta, allenamento intero, tutta la seduta
fail: cedimento, a cedimento, fallito, fallita, fino a cedimento, sbagliata
missed: mancata, mancate, persa, saltata l'ultima
outof: su
n 0: zero, nulla, nessuna
n 1: uno
n 2: due
n 3: tre
n 4: quattro
n 5: cinque
n 6: sei
n 7: sette
n 8: otto
n 9: nove
n 10: dieci
n 11: undici
n 12: dodici
ord 1: prima, 1a
ord 2: seconda, 2a
ord 3: terza, 3a
ord 4: quarta, 4a
ord 5: quinta, 5a
ord 6: sesta
region hamstring: flessore, flessori, femorale, femorali, bicipite femorale, ischiocrurali, dietro la coscia, retrocoscia, ischio
region quadriceps: quadricipite, quadricipiti, quad, davanti alla coscia
region adductor: inguine, adduttore, adduttori, pube, inguinale
region glute: gluteo, glutei, sedere, chiappa, chiappe
region calf: polpaccio, polpacci, soleo, gemelli
region hip_front: flessore dell'anca, flessori dell'anca, psoas, ileopsoas
region low_back: lombare, lombari, zona lombare, bassa schiena, schiena bassa, parte bassa della schiena
region upper_back: schiena alta, parte alta della schiena, trapezio, trapezi, dorsali, dorsale, scapola, scapole
region trunk: addome, addominali, addominale, obliqui, fianco
region chest: petto, pettorale, pettorali
region shoulder: spalla, spalle, deltoide
region arm: braccio, braccia, bicipite, bicipiti, tricipite, tricipiti, avambraccio
region neck: collo, cervicale, nuca
region knee: ginocchio, ginocchia, rotula, menisco, rotuleo
region tibial_tubercle: tuberosità tibiale, osso sotto il ginocchio
region shin: tibia, tibie, stinco, stinchi
region ankle: caviglia, caviglie
region achilles: achille, tendine d'achille
region heel: tallone, talloni, calcagno
region foot: piede, piedi, dito del piede, alluce, pianta del piede
region hip: anca, anche le anche, anche tutte e due
region elbow: gomito, gomiti
region wrist: polso, polsi, mano, mani, dito
vague hamstring quadriceps adductor glute calf: gamba, gambe
vague hamstring quadriceps adductor: coscia, cosce
vague low_back upper_back: schiena
vague hamstring quadriceps glute calf low_back shoulder: tutto il corpo, dappertutto
reason travel: viaggio, in viaggio, viaggiando, volo, aereo, aeroporto, trasferta, in pullman, in treno
reason ill: malato, malata, influenza, raffreddore, raffreddato, raffreddata, vomito, nausea, covid, gastroenterite, sto male, non mi sento bene
reason sore: troppo indolenzito, troppo indolenzita, gambe morte, troppi doms
reason pain: infortunato, infortunata, infortunio, troppo male, troppo dolore
reason no_time: non ho tempo, senza tempo, non ho avuto tempo, niente tempo, poco tempo, impegnato, impegnata, esame, esami, scuola, lavoro, università, lezione
reason no_gym: palestra chiusa, niente palestra, senza palestra, non c'è palestra, senza attrezzi, niente attrezzi, niente pesi, palestra era chiusa, la palestra era chiusa
reason private: famiglia, familiare, personale, privato, matrimonio, funerale, motivi personali, bambino
reason other: altro motivo, altra ragione, qualcos'altro, stanco, stanca, troppo stanco, esausto, dimenticato, mi sono dimenticato, sfinito
ex squat: squat, accosciata
ex split_squat: squat bulgaro, bulgaro, affondo bulgaro, split squat
ex deadlift: stacco, stacchi
ex romanian_deadlift: stacco rumeno, rumeno
ex nordic: nordic, nordica
ex copenhagen: copenaghen, copenhagen
ex bench_press: panca, panca piana, distensioni
ex hip_thrust: ponte glutei
ex step_up: salita sul box, salite sul box
ex lunge: affondo, affondi
ex pull_up: trazione, trazioni
ex push_up: piegamenti, piegamento, flessioni
ex row: rematore, rematori
ex calf_raise: calf raise, sollevamento polpacci, alzate polpacci
ex leg_curl: leg curl
ex leg_press: pressa
ex plank: plank, planche
exword: sollevamento, sollevamenti, alzate, alzata, curl, pressa, macchina, ponte, distensioni, estensione, stretching, salti
filler: da, dal, dalla, non male, niente male, meno male, il, lo, la, i, gli, le, l, un, una, di, del, della, dei, delle, al, alla, ai, mi, mio, mia, miei, mie, è, era, sono, sto, stato, ho, ha, hai, abbiamo, che, oggi, ieri, molto, molta, tanto, tanta, poco, un po, un po', bene, buono, buona, duro, dura, facile, mister, coach, bro, anche, solo, già, qui, ora, adesso, durante, prima di, perché, come, fare, faccio, peso, carico, sento, sentivo, abbastanza, circa, in, nel, nella, partita, allenamento, palestra, meglio, peggio, uguale, così, se, tutto bene, settimana, sera, notte, mattina, giorno, bilanciere, manubri, cosa, casa, sempre, ogni, grande, capo, favore, per favore, sono stato, veramente, davvero, forte, leggero, leggera, davanti, dietro, sotto, sopra, alto, passato, passata, tardi, torno, andata, andato

sign chest_pain: dolore al petto, dolore toracico, dolori al petto, male al petto, petto mi fa male, oppressione al petto, peso sul petto, fitta al petto, infarto, costrizione al petto, mi fa male il petto
sign fainting: svenuto, svenuta, svenimento, svenire, svenivo, perso i sensi, perso conoscenza, perdita di coscienza, mancamento, collassato, sincope, ?giramento, ?giramenti di testa, ?gira la testa, ?girava la testa, ?vertigini, tutto nero, incosciente, stavo svenendo
sign palpitations: palpitazioni, palpitazione, tachicardia, aritmia, cuore a mille, cuore impazzito, batticuore
sign breathless: non riesco a respirare, non riuscivo a respirare, mancanza di respiro, mi manca il respiro, mi manca l'aria, mi mancava il respiro, fiato corto, difficoltà a respirare, fatica a respirare, dispnea, soffoco, soffocavo, soffocare, ?fiatone, ?senza fiato
sign head_impact: colpo alla testa, colpo in testa, botta in testa, botta alla testa, battuto la testa, sbattuto la testa, trauma cranico, commozione, commozione cerebrale, testata, scontro di testa, pallonata in testa, gomitata in testa, ?mal di testa, visto le stelle
sign confusion: confusione, disorientato, disorientata, non ricordo niente, non ricordo nulla, perdita di memoria, amnesia, visione offuscata, vista offuscata, vedo doppio, stato confusionale, ?confuso, ?confusa
sign limb_weakness: non riesco a muovere la gamba, non riesco a muovere il braccio, non sento la gamba, non sento il braccio, non sento le gambe, perdita di forza, debolezza alla gamba, debolezza al braccio, gamba ceduta, la gamba cede, paralizzato, paralizzata, piede cadente, senza forza nella gamba, senza forza nel braccio
sign saddle_numbness: intorpidimento tra le gambe, insensibile tra le gambe, inguine intorpidito, genitali intorpiditi, non sento tra le gambe
sign bladder_bowel: non riesco a urinare, non riesco a pisciare, non riesco a fare pipì, fatta la pipì addosso, pisciato addosso, fatto la pipì addosso, incontinenza, incontinente, cagato addosso, fatta addosso, perso il controllo della vescica, non controllo la vescica, non trattengo la pipì
sign calf_swollen_warm: polpaccio gonfio, polpaccio caldo, polpaccio rosso, trombosi, coagulo, polpaccio è gonfio
sign cannot_bear_weight: non riesco a camminare, non riesco ad appoggiare, non riesco a appoggiare, non posso appoggiare, non riesco a stare in piedi, non posso camminare, non appoggio il piede, non riesco a caricare, con le stampelle, non cammino, ha ceduto, mi ha ceduto, è ceduto, mi cede
sign deformity: deformato, deformata, deformità, lussato, lussata, lussazione, fuori posto, osso fuori, osso rotto, frattura, fratturato, rotto la gamba, rotto il braccio, gamba rotta, braccio rotto
sign pop: schiocco, crac, crack, sentito uno schiocco, sentito un crac, strappo, strappato, strappata, lacerazione, rottura, sentito rompersi, schioccato, scrocchio forte
sign swelling: gonfio, gonfia, gonfiore, gonfiato, gonfiata, gonfi, gonfie, si è gonfiato, tumefatto, edema
sign limp: zoppico, zoppicando, zoppicare, zoppo, zoppicavo, zoppica
sign sudden_onset: dolore improvviso, dolore all'improvviso, fitta improvvisa, improvvisamente male, male all'improvviso
sign dark_urine: urina scura, urine scure, pipì scura, pipì marrone, urina marrone, urine marroni, piscio scuro, urina color coca cola, sangue nelle urine, sangue nella pipì, urina rossa, urina nera, rabdomiolisi
sign fever: febbre, febbricitante, febbrile, brividi, febbriciattola, ?temperatura
sign testicular_pain: testicolo, testicoli, dolore ai testicoli, male alle palle, male ai coglioni, calcio nelle palle, colpo nelle palle, scroto
sign distress: suicidio, suicidarmi, suicida, suicidare, voglio morire, voglia di morire, ammazzarmi, uccidermi, mi ammazzo, non voglio più vivere, non voglio vivere, farla finita, togliermi la vita, farmi del male, autolesionismo, mi taglio, tagliarmi, meglio morto, abuso, abusi, abusato, abusata, abusa di me, ha abusato, mi tocca, mi ha toccato, mi ha toccata, mi picchia, mi picchiano, maltratta, maltrattato, maltrattamenti, violentato, violentata, stupro, stuprato, stuprata, molestie, molestato, molestata, mi molesta, mi minaccia, ricatto, mi ricatta, bullizzato, paura di tornare a casa
sign other: ?emergenza, ambulanza, ?ospedale, ?pronto soccorso, convulsioni, convulsione, ictus, sputo sangue, tossisco sangue, reazione allergica
g chest: petto, torace, sterno
g head: testa, cranio, tempia, faccia
g calf: polpaccio, polpacci
g pain: duole, dolorante
g pressure: oppressione, pressione, stretta, peso addosso, costrizione, brucia
g sudden: improvviso, improvvisa, improvvisamente, all'improvviso, di colpo
g hit: colpo, botta, battuto, sbattuto, scontro, gomitata, ginocchiata, pallonata, calcio, urto, caduto, caduta, impatto
g swollen: gonfio, gonfia, gonfiore, gonfiato, come un pallone
g warm: caldo, calda, rosso, rossa, bollente
g numb: intorpidito, intorpidita, intorpidimento, formicolio, insensibile, addormentato, addormentata
g saddle: inguine, genitali, tra le gambe, perineo, parti intime
g weak: debole, deboli, debolezza, senza forza, cede, ceduta
g powerless: senza forza, nessuna forza, non ho forza
g joint: ginocchio, caviglia, piede, tibia, gomito, polso, dito
g huge: enorme, gigantesco, gigantesca
g degrees: gradi, temperatura, °
g limb: gamba, gambe, braccio, braccia, piede, mano
g dark: scura, scure, scuro, marrone, marroni, coca cola, sangue, rossa, nera
g urine: urina, urine, pipì, piscio, urinare, pisciare
g testicle: testicol*, palle, coglioni
g breath: respirare, respiro, fiato, aria
g heart: cuore, polso cardiaco, battito
g racing: impazzito, a mille, accelerato, irregolare, salta, veloce, come un matto, all'impazzata
g cannot: non riesco, non riuscivo, non posso, difficoltà, fatica, non ce la faccio, difficile, mi manca
g walk: camminare, appoggiare, stare in piedi, caricare
g move: muovere, sollevare, sentire, alzare
g control: controllo, perso il controllo
g bladder: vescica, intestino, sfintere
negfill: il, lo, la, l, di, del, alcun, alcuna, più, ho, avuto, avevo, c'è, un, una, mi, sento, a, ha, fa, particolare
`)
