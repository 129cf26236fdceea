// Package schedule says what is due now.
//
// Due is a pure function of stored values and an instant: cron is only the
// minute tick that calls it. Every due thing has a key that is committed once
// for one civil date, so a clock change, a restart or a traveller's new zone
// neither skips nor doubles it; what was due while the program was down is
// caught up until the squad's cut-off, and is then said to be too late.
package schedule
