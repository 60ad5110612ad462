# Out-of-site probabilities of ranger: a CSV file in (features, then outcome, site and fold, no gaps), a line of JSON a seed out.
# Trees, half of the features that vary in a split, no split of a node of so many rows or fewer (it has no least leaf). The rest are its defaults.
suppressMessages(library(ranger))
asked <- commandArgs(TRUE)
trees <- as.integer(asked[2]); node <- as.integer(asked[3]); seeds <- as.integer(asked[4])
rows <- read.csv(asked[1])
x <- rows[, seq_len(ncol(rows) - 3)]
y <- factor(rows$outcome, levels = 0:2)
cat(sprintf('{"version": "%s"}\n', packageVersion("ranger")))
for (seed in seq_len(seeds)) {
  p <- matrix(0, nrow(x), 3)
  for (fold in sort(unique(rows$fold))) {
    test <- rows$fold == fold
    vary <- vapply(x[!test, ], function(column) min(column) < max(column), TRUE)
    forest <- ranger(x = x[!test, vary], y = y[!test], num.trees = trees, mtry = ceiling(sum(vary) / 2), min.node.size = node, probability = TRUE,
      oob.error = FALSE, num.threads = 1, seed = 1000 * seed + fold)
    p[test, ] <- predict(forest, x[test, vary], num.threads = 1)$predictions[, c("0", "1", "2")]
  }
  cat(sprintf('{"seed": %d, "probabilities": [%s]}\n', seed, paste(sprintf("%.12f", t(p)), collapse = ", ")))
}
