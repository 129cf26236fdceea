// Command pegcard hangs each player's strength session of the day on their peg,
// by chat, and takes back what was done and how it felt.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // a container may have none
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	a := &app{out: os.Stdout, err: os.Stderr, env: os.Getenv}
	cmd := a.root()
	cmd.SetArgs(os.Args[1:])
	if err := cmd.ExecuteContext(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "pegcard:", err)
		os.Exit(1)
	}
}
