package understand

var _ = register("pt", true, `
done: feito, feita, pronto, terminei, terminado, terminada, acabei, acabado, concluído, concluída, completo, completei, fiz, fiz tudo, tudo feito, já fiz, treino feito, treino concluído, já está, finalizado, finalizei, tá feito, está feito
all: tudo, todas, todos, todas as séries
fine: tudo bem, tudo ok, tudo certo, tudo em ordem
except: exceto, excepto, menos, tirando, salvo
unsure: em vez de, em lugar de, planejado, planeado, previsto, devia, era para fazer, queria, tentei, objetivo
but: mas, porém, contudo
and: e, depois
or: ou
not: não, nao, n, sem, nunca, nenhum, nenhuma, nem
cant: não posso, não consigo, não consegui, não pude, não fiz, não treinei, não deu, não dá, não feito, não vou conseguir, faltei, não fui, impossível, pulei, saltei, nada feito, hoje não, não treino
later: mais tarde, amanhã, hoje à noite, ainda não, vou fazer, logo, faço depois, à tarde
partly: metade, meio, quase, em parte, uma parte, pela metade, nem tudo
yes: sim, claro, certo, ok, okay, correto, isso, com certeza
no: não, nao, de jeito nenhum, negativo
help: ajuda, me ajuda, ajude, o que faço, como funciona, não entendo, não entendi, instruções
away: de férias, férias, fora, estou fora, no estrangeiro, no exterior, na seleção, viagem de férias
thanks: obrigado, obrigada, valeu, brigado, olá, oi, bom dia, boa tarde, boa noite
sore: dorido, dorida, doridos, doridas, dolorido, dolorida, doloridos, doloridas, rígido, rígida, rigidez, tenso, tensa, preso, presa, pesado, pesada, pesadas, pesados, carregado, dor muscular, dores musculares
pain: dor, dores, dói, doi, doem, doendo, doeu, me dói, fisgada, pontada, pontadas, lesão, lesionado, lesionada, machucado, machucada, machuquei, cãibra, cãibras, câimbra, puxão, ardência, incômodo, incomoda, estiramento muscular
side left: esquerdo, esquerda, esq, esquerdos, esquerdas
side right: direito, direita, dir, dto, dta, direitos
side both: ambos, ambas, os dois, as duas, dos dois lados
kg: kg, kgs, kilo, kilos, quilo, quilos, quilogramas, k
lb: lb, lbs, libra, libras
minutes: min, mins, minuto, minutos, m
hour: h, hora, horas
seconds: s, seg, segs, segundo, segundos
by: por, vezes, vez
at: a, com, em, à
plus: mais, extra, adicional, lastro
set: série, séries, set, sets
rep: rep, reps, repetição, repetições
last: última, último, a última
written: como escrito, como planejado, como previsto, mesma carga, mesmo peso, carga prevista, como está na ficha
rest: descanso, pausa, intervalo
bodyweight: peso do corpo, peso corporal, pc, sem peso, sem carga
eachhand: cada mão, em cada mão, por mão, cada halter, por halter
eachside: por lado, cada lado, por perna, cada perna, de cada lado
total: no total, total, ao todo
rir: rir, em reserva, na reserva, reserva, de reserva
rirbefore: sobravam, sobraram, sobrava, ficaram, faltavam, ainda dava, dava mais, dava para mais, podia fazer, poderia fazer, restavam, ficavam
rirafter: no tanque, de sobra, sobrando, a mais, de reserva, mais
rpe: rpe, esforço, pse, rpe da sessão, esforço da sessão
session: rpe da sessão, sessão, treino todo, esforço da sessão
fail: falha, falhei, até a falha, até à falha, na falha
missed: faltou, faltaram, perdi
outof: de, em
n 0: zero, nenhuma, nada
n 1: uma só
n 2: dois, duas
n 3: três
n 4: quatro
n 5: cinco
n 6: seis
n 7: sete
n 8: oito
n 9: nove
n 10: dez
n 11: onze
n 12: doze
ord 1: primeira, 1a
ord 2: segunda, 2a
ord 3: terceira, 3a
ord 4: quarta, 4a
ord 5: quinta, 5a
ord 6: sexta
region hamstring: posterior, posteriores, posterior da coxa, isquiotibial, isquiotibiais, isquio, isquios, posterior de coxa
region quadriceps: quadríceps, quad, quads, anterior da coxa, frente da coxa
region adductor: virilha, virilhas, adutor, adutores, púbis
region glute: glúteo, glúteos, bunda, rabo, nádega, nádegas
region calf: panturrilha, panturrilhas, gémeo, gémeos, gêmeo, gêmeos, batata da perna, barriga da perna, sóleo
region hip_front: flexor do quadril, flexores do quadril, flexor da anca, psoas
region low_back: lombar, lombares, fundo das costas, parte baixa das costas, zona lombar
region upper_back: parte alta das costas, trapézio, trapézios, dorsal, dorsais, omoplata
region trunk: abdómen, abdômen, abdominais, abdominal, oblíquo, oblíquos, barriga
region chest: peito, peitoral, peitorais
region shoulder: ombro, ombros, deltoide
region arm: braço, braços, bíceps, tríceps, antebraço
region neck: pescoço, cervical, nuca
region knee: joelho, joelhos, rótula, patela, menisco
region tibial_tubercle: tuberosidade tibial, tuberosidade da tíbia, osso abaixo do joelho
region shin: canela, canelas, tíbia
region ankle: tornozelo, tornozelos
region achilles: aquiles, tendão de aquiles
region heel: calcanhar, calcanhares
region foot: pé, pés, dedo do pé, planta do pé, sola do pé
region hip: quadril, anca, ancas
region elbow: cotovelo, cotovelos
region wrist: pulso, pulsos, punho, mão, mãos, dedo
vague hamstring quadriceps adductor glute calf: perna, pernas
vague hamstring quadriceps adductor: coxa, coxas
vague low_back upper_back: costas
vague hamstring quadriceps glute calf low_back shoulder: corpo todo, corpo inteiro, o corpo todo
reason travel: viagem, viajando, viajar, a viajar, em viagem, voo, avião, aeroporto, no ônibus, no autocarro, na estrada
reason ill: doente, gripe, gripado, gripada, constipado, resfriado, resfriada, vômito, vomitando, a vomitar, covid, virose, passando mal
reason sore: muito dolorido, muito dorido, muita dor muscular, pernas mortas
reason pain: lesionado, lesionada, lesão, muita dor, machucado
reason no_time: sem tempo, não tive tempo, não tenho tempo, falta de tempo, ocupado, ocupada, exame, exames, prova, provas, escola, aula, aulas, trabalho, faculdade
reason no_gym: sem academia, sem ginásio, academia fechada, ginásio fechado, sem equipamento, sem pesos, não tem academia, não há ginásio, academia estava fechada
reason private: família, familiar, pessoal, particular, privado, casamento, funeral, enterro, bebê, bebé, motivos pessoais
reason other: outro motivo, outra razão, outra coisa, cansado, cansada, exausto, exausta, esqueci, esqueci-me, me esqueci, muito cansado
ex squat: agachamento, agachamentos
ex split_squat: búlgaro, agachamento búlgaro, búlgaros
ex deadlift: levantamento terra, peso morto, terra
ex romanian_deadlift: peso morto romeno, terra romeno, stiff
ex nordic: nórdico, nórdica, nórdicos, flexão nórdica, nordic
ex copenhagen: copenhaga, copenhague
ex bench_press: supino
ex hip_thrust: elevação pélvica
ex step_up: subida no banco, subidas no banco
ex lunge: afundo, afundos, passada, passadas, avanço
ex pull_up: barra fixa, elevações, dominadas
ex push_up: flexão, flexões
ex row: remada, remadas
ex calf_raise: elevação de panturrilha, elevação de gémeos, gêmeos em pé
ex leg_curl: flexora, mesa flexora, cadeira flexora
ex leg_press: leg press, prensa
ex plank: prancha
exword: elevação, extensão, extensora, máquina, desenvolvimento, rosca, ponte, alongamento, salto, saltos
filler: o, a, os, as, um, uma, uns, umas, de, da, do, das, dos, na, no, nas, nos, ao, me, meu, minha, meus, minhas, tu, te, se, é, foi, era, está, tá, estou, tô, estava, que, para, pra, pro, hoje, ontem, muito, muita, pouco, um pouco, bem, mal, bom, boa, duro, dura, fácil, difícil, mister, professor, treinador, cara, mano, também, só, já, aqui, agora, desde, durante, antes, porque, como, fazer, faço, levantei, peso, carga, senti, sinto, bastante, tenho, tinha, tive, há, ainda, então, jogo, treino, academia, ginásio, melhor, pior, igual, com o, semana, noite, tarde, manhã, dia, dias, coisa, casa, sempre, cada, grande, chefe, favor, por favor, foram, sai, barra, halteres, pesos, ano, depois do

sign chest_pain: dor no peito, dor de peito, dores no peito, dói o peito, peito a doer, peito doendo, aperto no peito, pressão no peito, dor torácica, infarto, enfarte, ataque cardíaco, pontada no peito
sign fainting: desmaiei, desmaio, desmaiado, desmaiada, desmaiar, perdi os sentidos, perdi a consciência, inconsciente, apaguei, síncope, ?tontura, ?tonturas, ?tonto, ?tonta, quase desmaiei, vi tudo preto, ficou tudo preto, desfaleci
sign palpitations: palpitações, palpitação, palpitacoes, taquicardia, arritmia, coração acelerado, coração disparado, coração a mil
sign breathless: não consigo respirar, não conseguia respirar, falta de ar, com falta de ar, dificuldade em respirar, dificuldade para respirar, sufocando, a sufocar, sem ar, custa a respirar, ?sem fôlego, ?ofegante
sign head_impact: pancada na cabeça, bati a cabeça, bati com a cabeça, concussão, choque de cabeças, batida na cabeça, cotovelada na cabeça, bolada na cabeça, traumatismo, caí de cabeça, ?dor de cabeça, ?dói a cabeça, vi estrelas
sign confusion: desorientado, desorientada, confusão mental, não me lembro de nada, não lembro de nada, perda de memória, visão turva, visão embaçada, visão dupla, ?confuso, ?confusa, ?confusão
sign limb_weakness: não consigo mexer a perna, não consigo mexer o braço, não sinto a perna, não sinto o braço, não sinto as pernas, perda de força, fraqueza na perna, fraqueza no braço, sem força na perna, sem força no braço, pé caído, paralisado, paralisada, perna falhou
sign saddle_numbness: dormência entre as pernas, dormente entre as pernas, virilha dormente, não sinto entre as pernas, genitais dormentes
sign bladder_bowel: não consigo urinar, não consigo fazer xixi, não consigo mijar, urinei-me, fiz xixi nas calças, mijei nas calças, incontinência, incontinente, caguei nas calças, não controlo a bexiga, perdi o controle da bexiga, perdi o controlo da bexiga, não seguro a urina
sign calf_swollen_warm: panturrilha inchada, gémeo inchado, gêmeo inchado, batata da perna inchada, panturrilha quente, gémeo quente, trombose, coágulo
sign cannot_bear_weight: não consigo andar, não consigo caminhar, não consigo apoiar, não posso apoiar, não consigo pisar, não consigo pôr o pé, não consigo colocar o pé no chão, não consigo ficar de pé, não posso andar, de muletas, falseou, o joelho cedeu, cedeu o joelho, joelho falhou, falhou o joelho
sign deformity: deformado, deformada, deformidade, deslocado, deslocada, desloquei, luxação, fora do lugar, osso para fora, osso partido, osso quebrado, fratura, fraturei, parti a perna, quebrei a perna, quebrei o braço, parti o braço
sign pop: estalo, estalou, estalido, ouvi um estalo, senti um estalo, rasgou, rotura, ruptura, rompeu, rompi, senti rasgar, pedrada na perna
sign swelling: inchado, inchada, inchaço, inchou, inchados, inchadas, inflamado, inflamada, inchar
sign limp: a coxear, coxeando, coxeio, coxear, mancando, a mancar, manco, mancar, mancou
sign sudden_onset: dor súbita, dor repentina, dor de repente, de repente doeu, fisgada súbita
sign dark_urine: urina escura, xixi escuro, urina castanha, urina marrom, xixi marrom, xixi castanho, mijo escuro, urina cor de coca cola, sangue na urina, urina vermelha, urina preta, mijo sangue, rabdomiólise
sign fever: febre, febril, calafrios, arrepios de frio, ?temperatura
sign testicular_pain: testículo, testículos, dor testicular, dor nos testículos, dor no saco, pancada nos tomates, chute no saco, dor nas bolas, dor nos colhões, escroto
sign distress: suicídio, suicidar, suicidar-me, me suicidar, suicida, quero morrer, me matar, matar-me, não quero viver, não quero mais viver, acabar com tudo, acabar com a minha vida, tirar a minha vida, me machucar de propósito, automutilação, magoar-me de propósito, me corto, me cortar, cortar-me, melhor morto, abuso, abusos, abusou, abusou de mim, abusa de mim, me toca, tocou-me, me tocou, me bate, bate-me, me batem, maltrata, maus tratos, estupro, estuprou, violação, violou-me, violaram, assédio, assediou, assediado, assediada, ameaça-me, me ameaça, me ameaçou, chantagem, medo de ir para casa
sign other: ?emergência, ?urgência, ambulância, ?hospital, convulsão, convulsões, avc, cuspindo sangue, tossindo sangue, reação alérgica
g chest: peito, tórax, esterno
g head: cabeça, crânio, têmpora, cara, rosto
g calf: panturrilha, panturrilhas, gémeo, gémeos, gêmeo, batata da perna
g pain: doeu, doía
g pressure: aperto, pressão, apertado, opressão, queimação
g sudden: de repente, súbito, súbita, repentino, repentina, subitamente, do nada
g hit: pancada, bati, batida, choque, cotovelada, joelhada, bolada, chute, pontapé, impacto, queda, levei
g swollen: inchado, inchada, inchaço, inchou, inflamado, como um balão, feito um balão
g warm: quente, vermelho, vermelha, ardendo
g numb: dormente, dormência, formigamento, formigueiro, adormecido, adormecida
g saddle: virilha, genitais, entre as pernas, períneo, partes íntimas
g weak: fraco, fraca, fracas, fraqueza, sem força, sem forças
g powerless: sem força, sem forças, nenhuma força
g joint: joelho, tornozelo, pé, canela, cotovelo, pulso, punho, dedo
g huge: enorme, gigante, gigantesco
g degrees: graus, temperatura, °
g limb: perna, pernas, braço, braços, pé, mão
g dark: escura, escuro, castanha, marrom, coca cola, sangue, vermelha, preta
g urine: urina, xixi, mijo, urinar, mijar
g testicle: testículo*, tomates, colhões, saco
g breath: respirar, ar, fôlego, respiração
g heart: coração, pulso cardíaco, batimentos
g racing: acelerado, disparado, a mil, irregular, rápido, aos saltos, falhando, maluco, louco, doido
g cannot: não consigo, não conseguia, não posso, não pude, dificuldade, custa, difícil
g walk: andar, caminhar, apoiar, pisar, ficar de pé
g move: mexer, mover, levantar, sentir
g control: controle, controlo, perdi o controle, perdi o controlo
g bladder: bexiga, intestino, esfíncter
negfill: o, a, os, as, de, do, da, no, na, tenho, tive, tinha, há, mais, nenhuma, nenhum, um, uma, sinto, senti, qualquer, me
`)
