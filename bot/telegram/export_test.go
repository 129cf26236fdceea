package telegram

// ChatsRemembered is how many chats a Pacer holds in memory.
func ChatsRemembered(p *Pacer) int { return len(p.chats) }
