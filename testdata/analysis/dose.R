# A worked analysis of the sets that "pegcard sets DIR" writes. Base R only:
#
#   pegcard sets DIR --by KEY --squad first
#   Rscript dose.R DIR/sets.csv
#
# It prints three tables, separated by tabs, with the kind of the row first:
# compliance and relative dose of each squad and day; the same of each player,
# with the interval of the share; and the weekly sets of each method.
#
# Relative dose is a ratio of sums: repetitions x kg done over repetitions x kg
# asked for. The interval of a share is Wilson's (1927), as prop.test gives it
# without continuity correction.

args <- commandArgs(trailingOnly = TRUE)
if (length(args) != 1) stop("usage: Rscript dose.R sets.csv")
sets <- read.csv(args[1], na.strings = "", stringsAsFactors = FALSE)

# Tests are not training; what was not asked for, and optional work, is not in
# what was asked for; only sessions that went out count.
training <- sets[!is.na(sets$counts) & sets$counts == 1 & (is.na(sets$test) | sets$test == 0), ]
asked <- !is.na(training$reps_asked) & training$optional == 0
training$work_asked <- ifelse(asked, training$reps_asked * training$load_asked, 0)
training$work_done <- ifelse(is.na(training$reps), 0, training$reps * training$load)
training$done <- training$state %in% c("done", "changed")

row <- function(...) cat(paste(..., sep = "\t"), "\n", sep = "")
# Figures are printed in full where they are to be compared with others.
full <- function(x) format(x, digits = 12, trim = TRUE, scientific = FALSE)
dose <- function(d) if (sum(d$work_asked) > 0) full(100 * sum(d$work_done) / sum(d$work_asked)) else NA
sessions <- function(d) !duplicated(paste(d$player, d$day))

row("kind", "squad", "day", "sessions", "done", "dose_percent")
for (d in split(training, list(training$squad, training$day), drop = TRUE)) {
  one <- d[sessions(d), ]
  row("day", one$squad[1], one$day[1], nrow(one), sum(one$done), dose(d))
}

row("kind", "player", "sessions", "done", "low_percent", "high_percent", "dose_percent")
for (d in split(training, training$player)) {
  one <- d[sessions(d), ]
  ci <- 100 * suppressWarnings(prop.test(sum(one$done), nrow(one), correct = FALSE)$conf.int)
  row("player", one$player[1], nrow(one), sum(one$done), full(ci[1]), full(ci[2]), dose(d))
}

row("kind", "week", "method", "sets_asked", "sets_done", "heavy_sets_done")
for (d in split(training, list(training$week, training$method), drop = TRUE)) {
  done <- !is.na(d$reps)
  row("week", d$week[1], d$method[1], sum(!is.na(d$reps_asked) & d$optional == 0), sum(done), sum(done & d$heavy == 1))
}
