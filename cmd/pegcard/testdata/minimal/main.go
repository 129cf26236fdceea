// Minimal is the least of a bot on the same libraries: it polls, writes one row
// durably and answers. The benchmarks measure the program against it.
package main

import (
	"database/sql"
	"log"
	"os"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	_ "modernc.org/sqlite"
)

func main() {
	db, err := sql.Open("sqlite", "file:"+os.Args[1]+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_txlock=immediate")
	if err != nil {
		log.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	if _, err := db.Exec(`CREATE TABLE IF NOT EXISTS note (id INTEGER PRIMARY KEY, chat INTEGER, text TEXT)`); err != nil {
		log.Fatal(err)
	}
	api, err := tgbotapi.NewBotAPIWithAPIEndpoint(os.Args[2], os.Args[3]+"/bot%s/%s")
	if err != nil {
		log.Fatal(err)
	}
	for offset := 0; ; {
		us, err := api.GetUpdates(tgbotapi.UpdateConfig{Offset: offset, Timeout: 50})
		if err != nil {
			log.Fatal(err)
		}
		for _, u := range us {
			offset = u.UpdateID + 1
			if u.Message == nil {
				continue
			}
			if _, err := db.Exec(`INSERT INTO note (chat, text) VALUES (?, ?)`, u.Message.Chat.ID, u.Message.Text); err != nil {
				log.Fatal(err)
			}
			if _, err := api.Send(tgbotapi.NewMessage(u.Message.Chat.ID, "Noted.")); err != nil {
				log.Fatal(err)
			}
		}
	}
}
