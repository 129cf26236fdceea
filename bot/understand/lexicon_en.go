package understand

var _ = register("en", false, `
done: done, did it, did that, did them, did everything, all done, finished, finish, complete, completed, smashed it, nailed it, got it done, job done, did the session, did session, did the gym, session done, ticked off, crushed it, did all, trained, all good done, did my session
all: all, everything, every set, whole thing, the lot, all sets, all of it
fine: all good, all fine, all okay, all ok, everything fine, everything good, everything ok, alright, all right
except: except, apart from, all but, bar the, other than, besides, except for, skipped only
unsure: instead of, instead, planned, supposed to, supposed, should have done, should have been, meant to, was going to, target, goal, wanted, tried, aimed, aiming, rather than
but: but, however, though
and: and, then, plus then, n
or: or
not: nothing, not, no, dont, don't, didn't, didnt, haven't, havent, hasn't, isn't, wasn't, never, without, none, nor, no more, ain't, do not, did not, have not, cannot say
cant: can't, cant, cannot, can not, couldn't, couldnt, could not, not able, unable, skipped, skip, skipping, not done, didn't do, didnt do, did not do, didn't train, didnt train, missed session, missed it, missed today, missed the session, not doing, won't make it, wont make it, not training, no session, not today, haven't done, havent done, have not done, did nothing, nothing done, couldn't do, didn't go, no gym session, won't train, not going
later: later, tomorrow, tonight, not yet, will do, going to do, gonna do, i'll do, ill do it, this evening, in a bit, soon, after training, after dinner
partly: half, partly, almost, nearly, some of it, most of it, part of it, not all, halfway, a bit of it, mostly, not everything, half done, some
yes: yes, yep, yeah, yup, y, ok, okay, sure, correct, right answer, aye, yea, yess, of course, affirmative
no: no, nope, nah, negative, no way, none
help: help, help me, what do i do, what now, how does this work, how do i, i don't understand, dont understand, commands, what can i do, instructions
away: away, on holiday, on vacation, out of town, abroad, holiday, vacation, away mode, i'm away, on leave, international duty
thanks: thanks, thank you, thx, cheers, ty, nice one, hello, hi, hey, good morning, morning, hiya
sore: sore, soreness, stiff, stiffness, tight, tightness, doms, achy muscles, heavy, tender, sore as hell
pain: pain, pains, painful, hurt, hurts, hurting, ache, aches, aching, achey, sharp, stabbing, twinge, pulled, strain, strained, tweak, tweaked, niggle, niggles, throbbing, burning, cramp, cramps, cramping, injury, injured, agony, pinch, pinching, stinging, killing me
side left: left, l, lft, lhs, left side, left leg, left one
side right: right, r, rght, rhs, right side, right leg, right one
side both: both, both sides, either side, both legs
kg: kg, kgs, kilo, kilos, kilogram, kilograms, k, kilogrammes
lb: lb, lbs, pound, pounds, £
pound: pfund
minutes: min, mins, minute, minutes, m
hour: h, hr, hrs, hour, hours
seconds: s, sec, secs, second, seconds
by: times, by
at: at, with, using, on, for, w
plus: plus, add, extra, added, additional
set: set, sets, round, rounds
rep: rep, reps, repetition, repetitions
last: last, final, last one
written: as written, as planned, as prescribed, same weight, same load, card weight, planned weight, prescribed weight, as on the card, as per card
rest: rest, rested, resting, break
bodyweight: bodyweight, body weight, bw, no weight, unweighted, just body
eachhand: each hand, per hand, in each hand, a hand, each arm, per dumbbell, each dumbbell, dumbbells, dbs, db
eachside: each side, per side, a side, each leg, per leg, a leg, e s, both sides each
total: total, in total, altogether, combined
rir: rir, in reserve, reps in reserve, reserve, reps in the tank, reps in tank
rirbefore: could have done, could've done, could do, could have got, had about, had maybe, had another, had, still had, felt like i had, with another
rirafter: left, in the tank, in tank, more, left in the tank, in me, more in me, more reps, reps left, left in me, to spare, spare
rpe: rpe, effort, session rpe, session effort, srpe, session was
session: session rpe, whole session, session effort, srpe, session was, overall, session, whole thing was
fail: failed, failure, to failure, fail, fails, failing, went to failure
missed: missed, short, lost
outof: out of, over, of
n 0: zero, nil, nothing, none, no reps, no more reps
n 1: one
n 2: two
n 3: three
n 4: four
n 5: five
n 6: six
n 7: seven
n 8: eight
n 9: nine
n 10: ten
n 11: eleven
n 12: twelve
ord 1: first, 1st
ord 2: 2nd
ord 3: third, 3rd
ord 4: fourth, 4th
ord 5: fifth, 5th
ord 6: sixth, 6th

region hamstring: hamstring, hamstrings, hammy, hammies, hams, ham, hammys, back of thigh, back of my thigh
region quadriceps: quad, quads, quadriceps, front of thigh, front of my thigh
region adductor: groin, groins, adductor, adductors, inner thigh, inside thigh
region glute: glute, glutes, bum, butt, buttock, buttocks, bum cheek, arse, backside, glute max
region calf: calf, calves, calfs, calve
region hip_front: hip flexor, hip flexors, front of hip, front of my hip, psoas
region low_back: lower back, low back, lumbar, lowerback, lower spine
region upper_back: upper back, traps, trap muscle, lats, between shoulder blades, upperback, mid back, shoulder blade
region trunk: abs, abdominals, stomach muscles, core, obliques, oblique, side strain, ribs muscle
region chest: chest, pecs, pec, pectoral, pectorals
region shoulder: shoulder, shoulders, delts, delt, rotator cuff
region arm: arm, arms, biceps, bicep, triceps, tricep, forearm, forearms
region neck: neck
region knee: knee, knees, kneecap, knee cap, patella, patellar tendon, meniscus, acl, mcl
region tibial_tubercle: tibial tubercle, tibial tuberosity, bump below the knee, bump under the knee, below kneecap bump
region shin: shin, shins, shin bone, tibia
region ankle: ankle, ankles
region achilles: achilles, achilles tendon, achillies
region heel: heel, heels
region foot: foot, feet, toe, toes, big toe, sole, arch of foot, metatarsal, plantar
region hip: hip, hips
region elbow: elbow, elbows
region wrist: wrist, wrists, hand, hands, thumb, finger, fingers
vague hamstring quadriceps adductor glute calf: leg, legs, lower body
vague hamstring quadriceps adductor: thigh, thighs, upper leg
vague low_back upper_back: back, spine
vague hamstring quadriceps glute calf low_back shoulder: everywhere, whole body, full body, all over

reason travel: travelling, traveling, travel, travelled, traveled, flight, flying, airport, on the road, on the bus, on the train, on the plane, long drive, at the airport, away game travel, in transit, stuck in traffic
reason ill: ill, sick, flu, a cold, cold, covid, vomiting, throwing up, puking, stomach bug, under the weather, food poisoning, nausea, unwell, not well, feel rough, illness, diarrhoea, diarrhea
reason sore: too sore, so sore, really sore, too stiff, dead legs
reason pain: too much pain, injured, in pain, injury
reason no_time: no time, too busy, busy, exam, exams, school, work, homework, class, lectures, meeting, overslept, ran out of time, out of time, not enough time, running late, uni
reason no_gym: no gym, gym closed, gym shut, gym was closed, gym is closed, gym was shut, no equipment, no weights, no access, hotel has no gym, no kit, no rack, no barbell, gym full, gym packed
reason private: family, personal, private, funeral, wedding, baby, birth, appointment, emergency at home, personal reasons, private reasons, kids, wife, girlfriend
reason other: other reason, another reason, something else, tired, too tired, knackered, exhausted, forgot, forgot it, forgotten, no motivation, couldn't be bothered

ex squat: squat, squats, squatting
ex back_squat: back squat, back squats, bs
ex front_squat: front squat, front squats
ex split_squat: split squat, split squats, bulgarians, bulgarian, rfess, rear foot elevated
ex deadlift: deadlift, deadlifts, dl, deads
ex trap_bar_deadlift: trap bar, hex bar, tbdl, trapbar
ex romanian_deadlift: rdl, rdls, romanian, romanians
ex nordic: nordic, nordics, nordic curl, nordic curls, nordic hamstring, nordic hamstrings, nordic hamstring curl, nhe
ex copenhagen: copenhagen, copenhagens, copenhagen plank, copenhagen adduction, cope
ex bench_press: bench, bench press, benched, benching
ex hip_thrust: hip thrust, hip thrusts, thrusts
ex step_up: step up, step ups, stepups
ex lunge: lunge, lunges
ex pull_up: pull up, pull ups, pullups, pullup, chin ups, chins, chinups
ex push_up: push up, push ups, pushups, press ups, pressups
ex row: row, rows, rowing
ex overhead_press: overhead press, ohp, shoulder press
ex calf_raise: calf raise, calf raises, heel raises
ex leg_curl: leg curl, leg curls, hamstring curl, hamstring curls
ex leg_press: leg press
ex plank: plank, planks
ex flywheel: flywheel, flywheel squat
exword: raise, raises, press, curl, curls, thrust, thrusts, extension, extensions, bridge, bridges, flexor march, slides, jump, jumps, hops, machine, rotation, rotations, stretch
filler: the, a, an, i, my, me, it, was, is, were, are, am, today, this, that, in, to, be, been, felt, feel, feels, feeling, got, get, did, do, does, have, has, coach, mate, bro, boss, gaffer, please, pls, just, only, really, very, quite, so, too, still, now, here, there, well, good, great, nice, easy, hard, tough, brutal, lol, haha, lifted, lift, lifts, made, managed, yesterday, after, before, during, since, from, because, cos, as, also, its, it's, im, i'm, ive, i've, we, he, she, they, you, your, his, her, bit, little, lot, about, around, approx, roughly, like, think, guess, maybe, probably, again, when, while, if, what, which, how, why, who, where, up, down, off, into, between, score, rate, rating, level, number, reps were, weight, load, heavyish, session today, morning session, gym, workout, exercise, bar, barbell, straight, sorry, fine, bad, worse, better, warm up, warmup, working, used, went, going, some, new, much, can, could, will, would, should, kind, sort, first thing, actually, slightly, pretty, walking, running, sprinting, strong, light, heavier, lighter, feelin, these, those, them, all right, alright, ok then, match, game, training, man, sir
filler: never mind, fewer, lever, later on, paint, saint, heard, heart rate, weekend, weeks, week, plates, place, chess, cheat, cheese, beach, bench top, other, either, under, over there, night, eight reps, might, right now, three of, there was, these were, their, then again, than, think so, things, thing, stuff, watch, water, matches, wrist strap, straps, belt, shoes, hello there, happy, sharpish, start, started, stop, stopped, stops, smart, short rest, shirt, showed, shower, below, above, until, every, everyone, really good, read, ready, real, reel, feed, food, mood, good mood, flat, great session, grate, treat, weather, whether, whole, while i, white, write, wrong, world, wonder, slept, sleep, sleeping, swimming, swimming pool, wedding day, felt good, lamp, lump sum, pump, pumped, popular, proper, properly, fading, fasting, painting, feinting, training hard

sign chest_pain: chest pain, chest pains, pain in my chest, pain in chest, pressure on my chest, pressure in my chest, tight chest, chest tightness, crushing chest, angina, heart attack, heart hurts, chest burning
sign fainting: fainted, faint, fainting, passed out, pass out, passing out, blacked out, blackout, black out, lost consciousness, unconscious, collapsed, collapse, nearly fainted, ?dizzy, ?lightheaded, ?light headed, ?dizziness, went black, everything went black, keeled over, syncope
sign palpitations: palpitations, palpitation, heart racing, heart fluttering, heart skipping, irregular heartbeat, heart jumping, arrhythmia, heart pounding, heart skips, heart all over the place
sign breathless: can't breathe, cannot breathe, cant breathe, short of breath, shortness of breath, breathless, breathlessness, struggling to breathe, trouble breathing, hard to breathe, difficulty breathing, gasping, wheezing, couldn't breathe, can't catch my breath, cant get my breath, can't get air, ?out of breath, ?breathing, suffocating
sign head_impact: hit my head, hit on the head, hit head, head injury, concussion, concussed, concusion, banged my head, knock to the head, knocked out, bang on the head, blow to the head, head clash, clash of heads, headed the post, ball to the head, elbow to the head, smashed my head, knocked my head, landed on my head, head collision, bumped my head, kicked in the head, seeing stars, saw stars, whacked my head, cracked my head, ?headache, ?head hurts, ?head pain
sign confusion: confusion, disoriented, disorientated, don't know where i am, dont know where i am, can't remember, cant remember, memory loss, amnesia, slurring, slurred speech, slurred, ?confused, blurred vision, double vision, blurry vision, vision blurry, feel confused, feeling confused, am confused and, brain fog
sign limb_weakness: can't move my leg, can't move my legs, can't move my arm, can't move my foot, can't feel my leg, can't feel my legs, cant feel my arm, cant feel my foot, can't lift my foot, foot drop, dropped foot, paralysed, paralyzed, leg went dead, arm went dead, lost strength in my leg, lost strength in my arm, leg gave way, no strength in my leg, no strength in my arm, weakness in my leg, weakness in my arm, sudden weakness, limb weakness, arm weakness, leg weakness, weakness in one leg
sign saddle_numbness: numb between my legs, numbness between my legs, numb groin, numb genitals, numb bum, saddle numbness, numb saddle, groin numb, groin is numb, no feeling between my legs, numb down there, numbness down there
sign bladder_bowel: can't pee, cant pee, cannot pee, can't urinate, cannot urinate, cant pass urine, can't pass urine, wet myself, wet the bed, incontinent, incontinence, lost control of my bladder, lost control of my bowels, can't hold my pee, can't control my bladder, can't control my bowels, soiled myself, bladder problem, bladder problems, bowel problems, bowel problem, shat myself, pissed myself, bladder change, bowel change
sign calf_swollen_warm: calf swollen, swollen calf, calf is swollen, calf swelling, blood clot, dvt, thrombosis, warm swollen calf, calf swollen and warm, calf hot and swollen, calf is hot, calf is red
sign cannot_bear_weight: can't walk, cannot walk, cant walk, can't put weight, cant put weight, cannot put weight, can't bear weight, cannot bear weight, cant bear weight, unable to bear weight, can't stand on it, cant stand on it, can't stand up, unable to walk, couldn't walk, can't stand, couldn't put weight, can't weight bear, on crutches, hobbling on one leg, gave way, giving way, gives way, buckled under me
sign deformity: deformed, deformity, out of place, dislocated, dislocation, bone sticking out, bone poking, looks bent, misshapen, popped out, came out of its socket, broken bone, fracture, fractured, broke my leg, broke my arm, broke my ankle, bent the wrong way, broken leg, broken arm
sign pop: pop, popped, popping, a snap, snapped, heard a crack, heard a snap, felt a snap, felt a crack, cracked loudly, something snapped, something tore, torn, tore, ruptured, rupture, felt something go, something went, heard a pop, felt a pop, felt it go, ripping feeling, snap, snaps, snapping
sign swelling: swelling, swollen, swelled, swelled up, puffy, ballooned, swole up, blown up like a balloon, swell, swells
sign limp: limp, limping, limped, hobbling, hobbled, hobble
sign sudden_onset: sudden onset, sudden pain, sudden sharp pain, suddenly hurts, suddenly hurt, came on suddenly, felt it suddenly, out of nowhere pain, sudden cramp
sign dark_urine: dark urine, dark pee, brown urine, brown pee, dark piss, cola coloured pee, cola urine, pee is dark, pee is brown, urine is dark, blood in my urine, blood in my pee, red urine, red pee, peeing blood, pissing blood, rhabdo, rhabdomyolysis, tea coloured urine, black urine, brown piss
sign fever: fever, feverish, fevers, high temperature, running a temperature, got a temperature, have a temperature, ?temperature, shivers, chills, burning up, temp of 38, temp of 39, shivering
sign testicular_pain: testicle, testicles, testicular pain, ball ache, balls hurt, balls ache, pain in my balls, sore balls, sore ball, nuts hurt, kicked in the balls, kicked in the nuts, scrotum, scrotal, testis, balls are killing
sign distress: kill myself, killing myself, suicide, suicidal, want to die, wanna die, end it all, end my life, ending my life, take my life, taking my own life, self harm, self harming, harm myself, harming myself, hurting myself, cut myself, cutting myself, don't want to live, dont want to live, no reason to live, better off dead, don't want to be here anymore, dont want to be here anymore, wish i was dead, wish i were dead, can't go on, cant go on, can't take it anymore, abuse, abused, abusing, abusive, touched me, touches me, touching me, raped, rape, sexually assaulted, sexual assault, assaulted, molested, molesting, groomed, grooming, harassed, harassment, harassing, bullied, bullying, hits me, beats me, beat me up, hitting me, being hit, scared of him, scared of her, afraid of him, scared to go home, threatened me, threatens me, blackmail, blackmailed, ?hurt myself, ?hopeless, ?worthless, unsafe at home, not safe at home, kms, unalive, od on, overdose, overdosed, made me touch, hate myself, don't want to be alive, dont want to be alive
sign other: ?emergency, ambulance, call 911, call 112, call 999, ?hospital, stroke, seizure, fit on the floor, coughing blood, coughing up blood, blood in my stool, vomiting blood, allergic reaction, anaphylaxis
g chest: chest, breastbone, sternum, left side of chest
g head: head, heads, skull, temple, face
g calf: calf, calves
g pain: discomfort
g pressure: tight, tightness, pressure, squeezing, crushing, heavy, burning
g sudden: sudden, suddenly, all of a sudden, out of nowhere, abruptly
g hit: hit, banged, bang, knock, knocked, blow, clash, clashed, whack, whacked, smashed, elbowed, kneed, kicked, collided, collision, bump, bumped, struck, impact, smacked, thumped
g swollen: swollen, swelling, swelled, puffy, swole, swells, like a balloon, size of a balloon, balloon, big as a melon
g warm: warm, hot, red
g numb: numb, numbness, tingling, pins and needles, no feeling, lost feeling
g saddle: groin, genitals, between my legs, between the legs, saddle, perineum, private parts, privates
g weak: weak, weakness, gave way, lost power, no power, no strength
g powerless: no power, no strength, lost power, lost all power, lost strength
g joint: knee, ankle, foot, toe, shin, elbow, wrist, hand, finger
g huge: huge, massive, enormous, giant
g degrees: degrees, degree, °, temp, temperature, celsius
g limb: leg, legs, arm, arms, foot, hand
g dark: dark, brown, cola, coke, black, bloody, blood, red
g urine: urine, pee, piss, wee, peeing, urinate, pissing, weeing, urinating
g testicle: testicle*, balls, nuts, bollocks, goolies
g breath: breathe, breath, breathing, air
g heart: heart, heartbeat, pulse
g racing: racing, fluttering, pounding, irregular, skipping, skipped, jumping, flutters, thumping, stops, stopped, missing beats, weird, crazy, mad, wild, hammering, banging, flying, going nuts
g cannot: can't, cant, cannot, can not, couldn't, couldnt, unable, hard to, struggling, trouble, difficulty, difficult, struggle, could not, not able
g walk: walk, stand, put weight, bear weight, weight bear, put my foot down, weight on
g move: move, lift, feel, raise, bend my toes
g control: control, lost control, leaking, accident
g bladder: bladder, bowel, bowels, toilet
negfill: any, a, an, the, more, my, have, had, having, got, get, feel, felt, of, no, real, actual, sign of, signs of, is, was, been, really, such, in, at all
`)
