package understand

var _ = register("fr", true, `
done: fait, faite, c'est fait, fini, finie, terminé, terminée, tout fait, j'ai fait, j'ai fini, j'ai tout fait, séance faite, séance terminée, c'est bon, validé, bouclé, complété, j'ai terminé, tout est fait
all: tout, toutes, tous, toutes les séries, la totale
fine: tout va bien, tout est bon, tout est ok, tout ok, tout roule
except: sauf, excepté, à part, hormis
unsure: au lieu de, à la place de, prévu, je devais, devait, voulais, essayé, objectif
but: mais, par contre, cependant
and: et, puis, ensuite
or: ou
not: nulle part, pas, ne, aucun, aucune, jamais, sans, non, ni, plus de
cant: je peux pas, je ne peux pas, peux pas, pas pu, j'ai pas pu, je n'ai pas pu, pas fait, j'ai pas fait, je n'ai pas fait, rien fait, pas de séance, séance ratée, j'ai sauté, sauté, impossible, pas aujourd'hui, je n'ai pas pu faire, pas entraîné, je peux pas venir, pas possible
later: plus tard, demain, ce soir, pas encore, je le ferai, je ferai, cet après-midi, tout à l'heure
partly: à moitié, la moitié, presque, en partie, une partie, à peu près tout, pas tout
yes: oui, ouais, ouep, d'accord, ok, okay, bien sûr, exact, correct
no: non, nan, pas du tout
help: aide, aidez-moi, aide-moi, comment ça marche, je fais quoi, que faire, je comprends pas, je ne comprends pas
away: en vacances, vacances, à l'étranger, absent, en congé, en sélection, pas là
thanks: merci, merci beaucoup, bonjour, salut, bonsoir, coucou
sore: courbature, courbatures, courbaturé, courbaturée, raide, raides, raideur, raideurs, tendu, tendue, tendus, lourd, lourde, lourdes, lourds, tension, chargé, sensible
pain: mal, mal au, mal à la, douleur, douleurs, douloureux, douloureuse, fait mal, font mal, gêne, élancement, pointe, blessure, blessé, blessée, claquage, élongation, crampe, crampes, tiraille, tire, tirent, brûlure, lancinant, piqûre, pique
side left: gauche, gche, g
side right: droit, droite, dte, dr
side both: les deux, deux côtés, des deux côtés
kg: kg, kgs, kilo, kilos, kilogrammes, k
lb: lb, lbs
pound: livre, livres
minutes: min, mins, minute, minutes, mn, m
hour: h, heure, heures
seconds: s, sec, secs, seconde, secondes
by: fois, par
at: à, a, avec, sur, en
plus: plus, lesté, ajouté, lest, extra
set: série, séries, set, sets, serie
rep: rep, reps, répétition, répétitions, répé, répés
last: dernière, dernier, la dernière, le dernier
written: comme écrit, comme prévu, poids prévu, même charge, même poids, comme sur la fiche, charge prévue
rest: repos, récup, pause
bodyweight: poids du corps, poids de corps, pdc, sans poids, sans lest
eachhand: chaque main, par main, dans chaque main, par haltère, chaque haltère
eachside: par côté, chaque côté, par jambe, chaque jambe, de chaque côté
total: au total, total, en tout
rir: rir, en réserve, réserve, de réserve, sous la pédale
rirbefore: il restait, il me restait, restait, restaient, il en restait, il m'en restait, j'aurais pu faire, je pouvais faire, me restait, encore, j'avais encore, il reste
rirafter: de plus, en réserve, dans le réservoir, encore, de marge, de rab, en plus
rpe: rpe, effort, rpe de séance, rpe de la séance, effort de la séance
session: rpe de séance, rpe de la séance, séance, toute la séance, effort de la séance
fail: échec, raté, échoué, à l'échec, jusqu'à l'échec, j'ai raté
missed: manqué, il a manqué, loupé
outof: sur
n 0: zéro, aucune, rien
n 1: un seul
n 2: deux
n 3: trois
n 4: quatre
n 5: cinq
n 6: six
n 7: sept
n 8: huit
n 9: neuf
n 10: dix
n 11: onze
n 12: douze
ord 1: première, 1ère, 1re
ord 2: deuxième, seconde série, 2e, 2ème
ord 3: troisième, 3e, 3ème
ord 4: quatrième, 4e, 4ème
ord 5: cinquième, 5e
ord 6: sixième, 6e
region hamstring: ischio, ischios, ischio-jambier, ischio-jambiers, arrière de la cuisine, arrière de la cuisse, derrière de la cuisse, derrière la cuisse
region quadriceps: quadriceps, quadri, quadris, quad, quads, devant de la cuisse
region adductor: adducteur, adducteurs, aine, l'aine, pubis, adduc
region glute: fessier, fessiers, fesse, fesses
region calf: mollet, mollets, soléaire
region hip_front: psoas, fléchisseur de hanche, fléchisseurs de hanche, pli de l'aine
region low_back: bas du dos, lombaire, lombaires, bas de dos
region upper_back: haut du dos, trapèze, trapèzes, dorsaux, omoplate, omoplates
region trunk: abdos, abdominaux, ventre, obliques, flanc
region chest: poitrine, pectoral, pectoraux, pecs, pec
region shoulder: épaule, épaules, deltoïde
region arm: bras, biceps, triceps, avant-bras
region neck: cou, nuque, cervicales
region knee: genou, genoux, rotule, ménisque, rotulien
region tibial_tubercle: tubérosité tibiale, bosse sous le genou
region shin: tibia, tibias, périoste
region ankle: cheville, chevilles
region achilles: achille, tendon d'achille
region heel: talon, talons
region foot: pied, pieds, orteil, orteils, voûte plantaire
region hip: hanche, hanches
region elbow: coude, coudes
region wrist: poignet, poignets, main, mains, doigt, doigts
vague hamstring quadriceps adductor glute calf: jambe, jambes
vague hamstring quadriceps adductor: cuisse, cuisses
vague low_back upper_back: dos
vague hamstring quadriceps glute calf low_back shoulder: tout le corps, partout
reason travel: voyage, en voyage, déplacement, en déplacement, avion, vol, aéroport, dans le train, dans le bus, sur la route, en route
reason ill: malade, grippe, rhume, vomi, vomissements, gastro, covid, crève, angine, pas bien
reason sore: trop de courbatures, trop courbaturé, jambes mortes, trop raide
reason pain: blessé, blessée, trop mal, blessure
reason no_time: pas le temps, manque de temps, pas eu le temps, occupé, occupée, examen, examens, cours, école, travail, boulot, lycée, en retard
reason no_gym: pas de salle, salle fermée, pas de gym, pas de matériel, salle était fermée, pas de poids, pas d'haltères, sans matériel
reason private: famille, familial, personnel, privé, mariage, enterrement, raison personnelle, perso, bébé
reason other: autre raison, autre chose, fatigué, fatiguée, crevé, crevée, oublié, j'ai oublié, pas envie, épuisé, trop fatigué
ex squat: squat, squats, accroupi
ex split_squat: fente bulgare, fentes bulgares, squat bulgare, bulgare, bulgares
ex deadlift: soulevé de terre, soulevé, sdt
ex romanian_deadlift: soulevé de terre roumain, roumain
ex nordic: nordique, nordiques, nordic, curl nordique
ex copenhagen: copenhague
ex bench_press: développé couché, couché, dc, bench
ex hip_thrust: hip thrust, poussée de hanches
ex step_up: montée sur banc, montées sur banc
ex lunge: fente, fentes
ex pull_up: traction, tractions
ex push_up: pompe, pompes
ex row: tirage, rowing
ex calf_raise: extension mollets, extensions mollets, extension de mollets, montées sur pointes
ex leg_curl: leg curl, curl jambes
ex leg_press: presse, presse à cuisses
ex plank: planche, gainage
exword: extension, extensions, montée, montées, presse, curl, développé, élévation, élévations, poussée, machine, étirement, saut, sauts
filler: pas mal, pas mal du tout, le, la, les, l, un, une, des, du, de, d, au, aux, j, je, m, me, mon, ma, mes, tu, il, elle, on, nous, c, ce, c'est, est, était, ai, avais, a, suis, ça, cette, cet, ces, que, qui, qu, dans, pour, aujourd'hui, hier, ce matin, très, trop, bien, bon, bonne, dur, dure, facile, coach, frère, mec, aussi, juste, seulement, déjà, ici, là, maintenant, depuis, pendant, avant, après, parce, comme, s, n, t, y, peu, un peu, beaucoup, assez, plutôt, environ, charge, poids, kilos de, salle, muscu, match, entraînement, fois de, senti, sens, ressenti, mieux, pire, pareil, encore une fois, vraiment, niquel, nickel, super, barre, haltères, leur, leurs, chez, sous, votre, vos, notre, même, toujours, tous les, monsieur, ok coach, semaine, nuit, soir, matin, temps, rester, monte, compte, force, fort, forte, lever, levé, genre, autre, voilà, petit, petite, grosse, gros, cours de

sign chest_pain: douleur à la poitrine, douleur poitrine, douleur thoracique, mal à la poitrine, mal dans la poitrine, douleurs dans la poitrine, douleur dans la poitrine, oppression thoracique, poitrine serrée, poitrine oppressée, crise cardiaque, infarctus, point dans la poitrine
sign fainting: évanoui, évanouie, évanouissement, perdu connaissance, perte de connaissance, malaise, tombé dans les pommes, tombée dans les pommes, syncope, ?vertige, ?vertiges, ?tête qui tourne, ?étourdi, ?étourdissement, trou noir, inconscient, voile noir, m'évanouir
sign palpitations: palpitations, palpitation, coeur qui s'emballe, tachycardie, arythmie, coeur irrégulier, coeur bat trop vite
sign breathless: peux pas respirer, n'arrive pas à respirer, arrive pas à respirer, du mal à respirer, mal à respirer, essoufflement, difficulté à respirer, manque d'air, j'étouffe, étouffer, souffle coupé, ?essoufflé, ?essoufflée
sign head_impact: coup à la tête, coup sur la tête, choc à la tête, cogné la tête, commotion, commotion cérébrale, choc tête contre tête, tapé la tête, traumatisme crânien, tombé sur la tête, tombée sur la tête, ballon dans la tête, coude dans la tête, ?mal de tête, ?mal à la tête, ko debout, vu des étoiles
sign confusion: confus, confuse, désorienté, désorientée, confusion, me souviens de rien, perte de mémoire, amnésie, vision floue, vois double, vision trouble
sign limb_weakness: peux pas bouger la jambe, peux plus bouger la jambe, peux plus bouger le bras, sens plus ma jambe, sens plus mon bras, sens pas ma jambe, faiblesse dans la jambe, faiblesse dans le bras, perte de force, jambe qui lâche, jambe m'a lâché, plus de force dans la jambe, plus de force dans le bras, pied tombant, paralysé, paralysée
sign saddle_numbness: entrejambe engourdi, engourdissement entre les jambes, engourdi entre les jambes, sens plus entre les jambes, parties engourdies
sign bladder_bowel: peux pas uriner, peux plus uriner, peux pas pisser, peux plus pisser, n'arrive pas à uriner, n'arrive plus à uriner, arrive plus à pisser, pissé dessus, fait pipi dessus, uriné dessus, incontinence, incontinent, chié dessus, perdu le contrôle de ma vessie, contrôle plus ma vessie, me retiens plus, fuites urinaires
sign calf_swollen_warm: mollet gonflé, mollet enflé, mollet chaud, mollet rouge, phlébite, thrombose, caillot, mollet est gonflé, mollet est enflé
sign cannot_bear_weight: peux pas marcher, peux plus marcher, n'arrive pas à marcher, n'arrive plus à marcher, arrive plus à marcher, peux pas poser le pied, peux plus poser le pied, peux pas m'appuyer, peux plus m'appuyer, pas d'appui, peux pas tenir debout, peux pas appuyer, impossible de marcher, impossible de poser le pied, en béquilles, s'est dérobé, s'est dérobée, se dérobe, a lâché sous moi
sign deformity: déformé, déformée, déformation, déboîté, déboîtée, luxé, luxée, luxation, os qui sort, os cassé, fracture, fracturé, cassé la jambe, cassé le bras, jambe cassée, bras cassé, pas droit du tout
sign pop: craquement, craqué, claquement, un crac, clac, entendu un bruit, entendu craquer, senti craquer, déchirure, déchiré, rupture, rompu, senti un claquement, coup de fouet, quelque chose a lâché
sign swelling: gonflé, gonflée, gonflement, gonfle, enflé, enflée, gonflés, gonflées, oedème, enfle
sign limp: boite, boiter, boitille, boîte en marchant, boitant, boiterie, je boîte
sign sudden_onset: douleur soudaine, douleur subite, douleur brutale, d'un coup une douleur, mal d'un coup, mal soudainement, douleur brusque
sign dark_urine: urine foncée, urines foncées, urine marron, urines marron, pipi marron, pipi foncé, pisse marron, pisse foncée, urine coca, urine brune, urines brunes, sang dans les urines, pisse du sang, urine rouge, urine noire, rhabdomyolyse
sign fever: fièvre, fiévreux, fiévreuse, frissons, de la température, ?température, brûlant de fièvre
sign testicular_pain: testicule, testicules, mal aux couilles, douleur testiculaire, coup dans les couilles, couilles, mal aux bourses, bourses
sign distress: suicide, suicider, me suicider, suicidaire, envie de mourir, veux mourir, veux en finir, en finir avec la vie, me tuer, me foutre en l'air, plus envie de vivre, veux plus vivre, ne veux plus vivre, me faire du mal, automutilation, me mutiler, scarifie, me scarifier, je me coupe, mettre fin à mes jours, abus sexuel, abusé de moi, abuse de moi, abusé sexuellement, me touche, m'a touché, m'a touchée, me frappe, me bat, maltraité, maltraitée, maltraitance, violé, violée, viol, m'a violé, m'a violée, agressé sexuellement, agression sexuelle, harcèlement, harcelé, harcelée, me harcèle, me menace, chantage, peur de rentrer chez moi, ?mieux mort
sign other: ?urgence, ?urgences, ambulance, samu, ?hôpital, convulsion, convulsions, avc, crache du sang, réaction allergique
g chest: poitrine, thorax, sternum, thoracique
g head: tête, crâne, tempe, visage
g calf: mollet, mollets
g pain: douleur, souffre
g pressure: oppression, serre, serrée, serré, pression, oppressé, brûle
g sudden: soudain, soudaine, soudainement, d'un coup, brusque, brusquement, subit, subite, brutalement
g hit: coup, choc, cogné, cognée, tapé, tapée, heurté, heurtée, percuté, frappé, chute, collision, impact
g swollen: gonflé, gonflée, gonfle, enflé, enflée, gonflement, comme un ballon
g warm: chaud, chaude, rouge, brûlant
g numb: engourdi, engourdie, engourdis, engourdissement, fourmis, fourmillements, insensible, endormi, endormie
g saddle: entrejambe, entre les jambes, parties intimes, périnée, parties génitales
g weak: faible, faibles, faiblesse, lâche, lâché, plus de force, sans force, molle, molles
g powerless: plus de force, sans force, aucune force
g joint: genou, cheville, pied, tibia, coude, poignet, doigt
g huge: énorme, géant, gigantesque
g degrees: degrés, degré, température, °
g limb: jambe, jambes, bras, pied, main
g dark: foncée, foncé, marron, brune, brun, coca, sang, rouge, noire, noir
g urine: urine, urines, pipi, pisse, uriner, pisser
g testicle: testicule*, couilles, couille, bourses
g breath: respirer, souffle, respiration, air
g heart: coeur, pouls
g racing: s'emballe, emballe, palpite, irrégulier, vite, saute, fort et vite, comme un fou, bat fou, à fond
g cannot: peux pas, peux plus, arrive pas, arrive plus, n'arrive pas, n'arrive plus, du mal à, impossible, difficile, difficulté, impossible de, pouvais pas, pouvais plus, incapable
g walk: marcher, poser le pied, m'appuyer, appuyer, tenir debout
g move: bouger, lever, sentir, sens
g control: contrôle, contrôler, perdu le contrôle
g bladder: vessie, intestins, sphincter, selles
negfill: de, d, du, la, le, les, l, j, ai, n, aucune, aucun, plus, eu, à, une, un, avais, a, sens, ressens, s
`)
