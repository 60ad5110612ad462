# Fits ranger to the rows of a CSV file, once at the start and again for each line it is given.
# Same as ours: trees, features tried in a split, leaves of 1, probabilities, bootstrap, no out-of-bag scores.
library(ranger)
asked <- commandArgs(TRUE)
rows <- read.csv(asked[1])
x <- rows[, seq_len(ncol(rows) - 3)]
y <- factor(rows$outcome)
once <- function(seed) {
  before <- proc.time()
  forest <- ranger(x = x, y = y, num.trees = as.integer(asked[2]), mtry = as.integer(asked[3]), min.node.size = 1,
    probability = TRUE, oob.error = FALSE, num.threads = as.integer(asked[4]), seed = seed)
  spent <- proc.time() - before
  cat(sprintf('{"milliseconds": %.3f, "busy": %.3f, "accepted": %d}\n', 1e3 * spent[["elapsed"]],
    1e3 * (spent[["user.self"]] + spent[["sys.self"]]), forest$num.trees))
  flush(stdout())
}
once(1)
lines <- file("stdin", "r")
seed <- 1
while (length(readLines(lines, 1)) > 0) once(seed <- seed + 1)
