package wording

import "pegcard/prescribe"

// Ask words the question ask.<code> about a reply that can be read in more
// than one way; word is what it is about, sign the warning sign it asks for.
// Either may be empty.
func (sp *Speaker) Ask(code, word string, sign prescribe.Sign) string {
	question := sp.say("ask."+code, map[string]any{"sign": sign})
	if word == "" {
		return sp.directed(question)
	}
	return sp.directed(sp.t("ask.quoted", "word", word, "question", HTML(question)))
}
