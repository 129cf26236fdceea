package prescribe

// Plan is the card of day d.
func Plan(s State, c Calendar, p Programme, r Rules, d Day, edits []Edit) Card {
	return Card{Day: d, Engine: EngineVersion, RulesHash: r.Hash(), Kind: CardRest}
}
