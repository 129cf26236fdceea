package prescribe

// Notices is what staff have to be told of e, which turned before into after.
func Notices(before, after State, e Event, r Rules) []Notice { return nil }
