# Kappa, linearly weighted kappa (vcd::Kappa) and Bowker's test of symmetry (mcnemar.test) for square tables of counts.
# Rscript tests/outside/_agreement.R > tests/outside/_agreement_r.json
suppressMessages(library(vcd))
options(digits = 17)
tables <- list(
  c(20, 5, 10, 15),
  c(88, 14, 18, 10, 40, 10, 2, 6, 12),
  c(9, 4, 1, 3, 12, 5, 2, 2, 7),
  c(30, 12, 7, 2, 4, 25, 9, 3, 1, 6, 41, 11, 2, 1, 8, 60),
  c(12, 5, 3, 1, 1, 4, 18, 6, 2, 1, 3, 7, 25, 5, 2, 1, 2, 6, 22, 4, 1, 1, 2, 3, 15)
)
one <- function(counts) {
  k <- sqrt(length(counts))
  m <- matrix(counts, k, byrow = TRUE)
  linear <- Kappa(m, weights = "Equal-Spacing")
  bowker <- mcnemar.test(m, correct = FALSE)
  sprintf('    {"counts": [%s], "kappa": %.15g, "linear": %.15g, "chiSquared": %.15g, "degreesOfFreedom": %d, "p": %.15g}',
    paste(counts, collapse = ", "), linear$Unweighted["value"], linear$Weighted["value"],
    bowker$statistic, as.integer(bowker$parameter), bowker$p.value)
}
cat(sprintf('{\n  "made": "Rscript tests/outside/_agreement.R, R %s, vcd %s",\n  "tables": [\n%s\n  ]\n}\n',
  paste(R.version$major, R.version$minor, sep = "."), format(packageVersion("vcd")),
  paste(sapply(tables, one), collapse = ",\n")))
