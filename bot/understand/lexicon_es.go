package understand

var _ = register("es", true, `
done: hecho, hecha, listo, lista, terminado, terminada, terminé, acabado, acabé, completado, completada, todo hecho, todo listo, lo hice, ya está, ya esta, ya lo hice, entreno hecho, sesión hecha, finalizado, cumplido, he terminado, hecho todo, todo bien hecho
all: todo, todos, todas, todas las series, todo completo
fine: todo bien, todo ok, todo perfecto, todo en orden
except: excepto, menos, salvo, a excepción de
unsure: en lugar de, en vez de, planeado, previsto, debía, tenía que, quería, intenté, objetivo
but: pero, aunque, sin embargo
and: y, e, luego, después
or: o, u
not: nada de, no, sin, nunca, ningún, ninguna, ninguno, ni, tampoco
cant: no puedo, no pude, no he podido, no hice, no lo hice, no he hecho, no entrené, no he entrenado, no hecho, no voy a poder, imposible, me salté, saltado, falté, no fui, no entreno, no podré, nada hecho, hoy no
later: luego lo hago, más tarde, mañana, esta noche, todavía no, aún no, lo haré, después lo hago, esta tarde
partly: medio, la mitad, casi, a medias, una parte, parte, algo, no todo
yes: sí, si, claro, vale, correcto, ok, okay, por supuesto, afirmativo
no: no, nop, para nada, negativo
help: ayuda, ayúdame, qué hago, cómo funciona, no entiendo, no lo entiendo, instrucciones
away: de vacaciones, vacaciones, fuera, estoy fuera, en el extranjero, con la selección, de permiso
thanks: gracias, muchas gracias, hola, buenas, buenos días, buenas tardes
sore: agujetas, cargado, cargada, cargados, cargadas, rígido, rígida, rigidez, tieso, tiesa, tirante, tensión, dolorido, dolorida, doloridos, doloridas, pesado, pesada, pesadas, sobrecarga, sobrecargado, sobrecargada
pain: dolor, dolores, duele, duelen, me duele, dolía, molestia, molestias, me molesta, pinchazo, pinchazos, punzada, lesión, lesionado, lesionada, tirón, calambre, calambres, ardor, daño, doloroso
side left: izquierdo, izquierda, izq, izqda, izqdo, izquierdos, izquierdas
side right: derecho, derecha, dcho, dcha, der, derechos, derechas
side both: ambos, ambas, los dos, las dos, los dos lados
kg: kg, kgs, kilo, kilos, kilogramos, k
lb: lb, lbs, libra, libras
minutes: min, mins, minuto, minutos, m
hour: h, hora, horas, hs
seconds: s, seg, segs, segundo, segundos
by: por, veces
at: a, con, de peso, en
plus: más, extra, añadido, lastre, añadidos
set: serie, series, set, sets
rep: rep, reps, repetición, repeticiones, repe, repes
last: última, último, ultima serie, la última
written: como está escrito, como escrito, lo escrito, mismo peso, según la ficha, el peso previsto, como ponía, como estaba
rest: descanso, descansé, pausa
bodyweight: peso corporal, peso del cuerpo, pc, sin peso, sin lastre
eachhand: cada mano, en cada mano, por mano, cada mancuerna, por mancuerna
eachside: por lado, cada lado, por pierna, cada pierna, a cada lado
total: en total, total
rir: rir, en reserva, en recámara, reserva, de reserva
rirbefore: quedaban, me quedaban, quedaba, me quedaba, me sobraban, sobraban, podía hacer, podría haber hecho, me faltaban, podía, quedan, me quedan
rirafter: de sobra, más en el tanque, en el tanque, más, en la recámara
rpe: rpe, esfuerzo, rpe de la sesión, esfuerzo de la sesión
session: rpe de la sesión, sesión, toda la sesión, esfuerzo de la sesión
fail: fallo, fallé, al fallo, hasta el fallo, fallada
missed: me faltó, faltó, fallaron
outof: de, sobre
n 0: cero, ninguna, nada
n 1: uno
n 2: dos
n 3: tres
n 4: cuatro
n 5: cinco
n 6: seis
n 7: siete
n 8: ocho
n 9: nueve
n 10: diez
n 11: once
n 12: doce
ord 1: primera, primer, 1a
ord 2: segunda, 2a
ord 3: tercera, tercer, 3a
ord 4: cuarta, 4a
ord 5: quinta, 5a
ord 6: sexta
region hamstring: isquio, isquios, isquiotibial, isquiotibiales, femoral, femorales, bíceps femoral, isquiosurales
region quadriceps: cuádriceps, cuadriceps, cuad, cuads
region adductor: ingle, ingles, aductor, aductores, pubis
region glute: glúteo, glúteos, culo, nalga, nalgas
region calf: gemelo, gemelos, pantorrilla, pantorrillas, sóleo
region hip_front: flexor de la cadera, flexor de cadera, flexores de cadera, psoas
region low_back: lumbar, lumbares, zona lumbar, espalda baja, riñones, la baja espalda
region upper_back: espalda alta, dorsal, dorsales, trapecio, trapecios, parte alta de la espalda
region trunk: abdomen, abdominales, abdominal, oblicuo, oblicuos, costado
region chest: pecho, pectoral, pectorales
region shoulder: hombro, hombros, deltoides
region arm: brazo, brazos, bíceps, tríceps, antebrazo
region neck: cuello, cervical, cervicales, nuca
region knee: rodilla, rodillas, rótula, rotuliano, menisco
region tibial_tubercle: tuberosidad tibial, tuberosidad de la tibia, bulto bajo la rodilla
region shin: espinilla, espinillas, tibia, tibial
region ankle: tobillo, tobillos
region achilles: aquiles, tendón de aquiles
region heel: talón, talones
region foot: pie, pies, planta del pie, dedo del pie, empeine
region hip: cadera, caderas
region elbow: codo, codos
region wrist: muñeca, muñecas, mano, manos, dedo
vague hamstring quadriceps adductor glute calf: pierna, piernas
vague hamstring quadriceps adductor: muslo, muslos
vague low_back upper_back: espalda
vague hamstring quadriceps glute calf low_back shoulder: todo el cuerpo, cuerpo
reason travel: viaje, viajando, de viaje, vuelo, avión, aeropuerto, en el bus, en el tren, viajo, en carretera
reason ill: enfermo, enferma, gripe, resfriado, resfriada, constipado, vómitos, vomitando, malo del estómago, covid, indispuesto, gastroenteritis, me encuentro mal
reason sore: muchas agujetas, demasiado cargado, muy cargado, muy cargada, piernas muertas
reason pain: lesionado, lesionada, lesión, mucho dolor
reason no_time: sin tiempo, no tengo tiempo, no tuve tiempo, no me dio tiempo, ocupado, ocupada, examen, exámenes, colegio, clase, trabajo, universidad, liado
reason no_gym: sin gimnasio, gimnasio cerrado, no hay gimnasio, gym cerrado, sin pesas, sin material, no había gimnasio, no hay gym, el gimnasio estaba cerrado
reason private: familia, familiar, personal, privado, boda, funeral, entierro, asunto personal, motivos personales, bebé
reason other: otro motivo, otra razón, otra cosa, cansado, cansada, agotado, agotada, se me olvidó, olvidé, me olvidé, muy cansado
ex squat: sentadilla, sentadillas
ex back_squat: sentadilla trasera
ex front_squat: sentadilla frontal
ex split_squat: búlgara, búlgaras, sentadilla búlgara, zancada búlgara
ex deadlift: peso muerto, muerto
ex romanian_deadlift: peso muerto rumano, rumano
ex nordic: nórdico, nórdicos, curl nórdico, nordic
ex copenhagen: copenhague
ex bench_press: press banca, press de banca, banca, banco
ex hip_thrust: empuje de cadera
ex step_up: subida al cajón, subidas al cajón
ex lunge: zancada, zancadas
ex pull_up: dominada, dominadas
ex push_up: flexión, flexiones
ex row: remo
ex calf_raise: elevación de gemelos, elevaciones de gemelos, elevación de talones
ex leg_curl: curl femoral, curl de pierna
ex leg_press: prensa
ex plank: plancha, planchas
exword: press, curl, elevación, elevaciones, empuje, extensión, extensiones, máquina, puente, estiramiento, salto, saltos
filler: el, la, los, las, un, una, unos, unas, de, del, al, lo, le, me, se, mi, mis, tu, su, es, era, fue, estoy, está, esta, este, estaba, he, ha, hay, tengo, tenía, tuve, que, qué, en el, hoy, ayer, muy, mucho, mucha, poco, un poco, bien, mal, bueno, buena, duro, dura, fácil, difícil, míster, mister, profe, entrenador, tío, también, solo, sólo, ya, aquí, ahora, desde, durante, antes, para, porque, como, cómo, hice, hicimos, hago, hacer, levanté, peso, kilos de, sentí, siento, bastante, algo de, unas, así, entrenamiento, partido, gimnasio, gym, mañana por la mañana, siempre, pesas, cada, otra vez, menos mal, mejor, peor, igual, gran, casa, cosa, cosas, tarde, noche, semana, días, día, pasado, pasada, hermano, jefe, favor, por favor, serio, voy, estuvo, salió, barra, mancuernas, carga, cargas

sign chest_pain: dolor de pecho, dolor en el pecho, dolor torácico, me duele el pecho, presión en el pecho, opresión en el pecho, opresión torácica, infarto, pinchazo en el pecho
sign fainting: me desmayé, me desmalle, desmayo, desmayado, desmayada, desmayarme, perdí el conocimiento, perdí la conciencia, perdí el sentido, inconsciente, síncope, ?mareo, ?mareado, ?mareada, ?mareos, me mareé, casi me desmayo, se me fue la cabeza, lo vi todo negro, me desplomé, colapsé
sign palpitations: palpitaciones, palpitación, taquicardia, arritmia, corazón acelerado, el corazón a mil, corazón desbocado
sign breathless: no puedo respirar, no podía respirar, falta de aire, me falta el aire, me faltaba el aire, me cuesta respirar, sin aire, ahogo, me ahogo, me ahogaba, dificultad para respirar, disnea, ?sin aliento
sign head_impact: golpe en la cabeza, me golpeé la cabeza, conmoción, conmoción cerebral, me di en la cabeza, choque de cabezas, traumatismo, cabezazo, balonazo en la cabeza, codazo en la cabeza, ?dolor de cabeza, ?me duele la cabeza, vi las estrellas
sign confusion: confuso, confusa, desorientado, desorientada, confusión, no recuerdo nada, no me acuerdo de nada, pérdida de memoria, visión borrosa, veo doble, ?confundido, ?confundida
sign limb_weakness: no puedo mover la pierna, no puedo mover el brazo, no siento la pierna, no siento el brazo, no siento las piernas, pierna dormida de repente, me falla la pierna, pérdida de fuerza, sin fuerza en la pierna, sin fuerza en el brazo, debilidad en la pierna, debilidad en el brazo, pie caído, paralizado, paralizada
sign saddle_numbness: entumecida la entrepierna, entrepierna dormida, entrepierna entumecida, adormecimiento entre las piernas, no siento la entrepierna, genitales dormidos
sign bladder_bowel: no puedo orinar, no puedo mear, no puedo hacer pis, me hice pis, me oriné, me meo encima, incontinencia, me cagué encima, no controlo la vejiga, no controlo el esfínter, pérdida de control de esfínteres, no aguanto la orina
sign calf_swollen_warm: gemelo hinchado, pantorrilla hinchada, gemelo inflamado, pantorrilla inflamada, gemelo caliente, pantorrilla caliente, trombosis, coágulo, trombo
sign cannot_bear_weight: no puedo apoyar, no puedo caminar, no puedo andar, no puedo apoyar el pie, no puedo apoyar la pierna, no puedo pisar, no puedo cargar peso, no puedo estar de pie, no puedo ni andar, en muletas, me falló la rodilla, se me fue la rodilla, me cedió, cedió la rodilla, me cede la rodilla
sign deformity: deformado, deformada, deformidad, dislocado, dislocada, luxación, fuera de su sitio, se salió, hueso salido, hueso roto, fractura, me rompí la pierna, me rompí el brazo, torcido raro, se me salió el hombro
sign pop: chasquido, crujido, crujió, un crac, sonó un crac, un clac, sonó algo, se rompió algo, algo se rompió, noté un latigazo, pedrada, síndrome de la pedrada, se me rompió, rotura, desgarro
sign swelling: hinchado, hinchada, hinchazón, inflamado, inflamada, inflamación, hinchados, hinchadas, se me hinchó, se hinchó
sign limp: cojeo, cojeando, cojera, cojear, voy cojo, renqueando
sign sudden_onset: dolor repentino, dolor súbito, de repente me dolió, pinchazo repentino, dolor de golpe
sign dark_urine: orina oscura, orina marrón, pis oscuro, pis marrón, meo oscuro, meo marrón, orina color coca cola, orino sangre, sangre en la orina, orina roja, pis de color coca cola, rabdomiólisis
sign fever: fiebre, febril, calentura, escalofríos, tengo temperatura, décimas de fiebre, ?temperatura
sign testicular_pain: testículo, testículos, dolor testicular, me duelen los huevos, golpe en los huevos, patada en los huevos, dolor de huevos, escroto, me duelen los cojones
sign distress: suicidio, suicidarme, suicida, suicidarse, quiero morir, quiero morirme, me quiero morir, matarme, me quiero matar, no quiero vivir, no quiero seguir viviendo, acabar con todo, quitarme la vida, hacerme daño, autolesión, autolesiones, me corto, cortarme, no puedo más con la vida, mejor muerto, abuso, abusos, abusó, abusó de mí, abusan de mí, me toca, me tocó, me pega, me pegan, me maltrata, maltrato, violación, me violó, me violaron, acoso, me acosan, acoso sexual, me amenaza, me chantajea, tengo miedo de volver a casa, ?me odio
sign other: ?emergencia, ?urgencias, ambulancia, ?hospital, convulsión, convulsiones, ictus, tos con sangre, reacción alérgica
g chest: pecho, esternón, tórax
g head: cabeza, cráneo, sien, cara
g calf: gemelo, gemelos, pantorrilla, pantorrillas
g pain: dolió, dolía
g pressure: presión, opresión, opresivo, apretado, quemazón
g sudden: de repente, repentino, repentina, súbito, súbita, de golpe, de pronto
g hit: golpe, golpeé, golpeado, golpearon, golpeó, choque, choqué, choqué con, codazo, rodillazo, patada, balonazo, impacto, pelotazo
g swollen: hinchado, hinchada, hinchazón, inflamado, inflamada, hinchó, como un globo
g warm: caliente, rojo, roja, ardiendo
g numb: dormido, dormida, entumecido, entumecida, hormigueo, adormecido, adormecida, acorchado
g saddle: entrepierna, genitales, entre las piernas, perineo, partes
g weak: débil, débiles, debilidad, sin fuerza, sin fuerzas, flojo, flojas
g powerless: sin fuerza, sin fuerzas, no tengo fuerza
g joint: rodilla, tobillo, pie, espinilla, codo, muñeca, mano, dedo
g huge: enorme, gigante, inmenso, inmensa
g degrees: grados, temperatura, °
g limb: pierna, piernas, brazo, brazos, pie, mano
g dark: oscura, oscuro, marrón, coca cola, sangre, roja, rojo, negra
g urine: orina, pis, meada, orinar, mear, pipí
g testicle: testículo*, huevos, cojones, pelotas
g breath: respirar, aire, aliento, respiración
g heart: corazón, pulso, latidos
g racing: acelerado, a mil, rápido, irregular, desbocado, saltos, raro, loco, como loco, a tope
g cannot: no puedo, no podía, no pude, me cuesta, cuesta, dificultad, no logro, incapaz
g walk: caminar, andar, apoyar, pisar, estar de pie
g move: mover, levantar, sentir
g control: control, controlo, pierdo
g bladder: vejiga, esfínter, esfínteres, intestino
negfill: el, la, los, ningún, ninguna, más, tengo, tuve, tenía, hay, he, ha, tenido, siento, de, un, una, me, nada, ningun tipo
`)
