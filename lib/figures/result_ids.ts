/** What a result id means: its unit ("share" is shown as per cent, "count" without a unit), one sentence, the room that computes it. */
export interface ResultId {
  readonly unit: string;
  readonly meaning: string;
  readonly room: string;
}

/**
 * Every id that may stand in `results.json`, with unit, meaning and room. A notebook can state no number under another id.
 * A key is never renamed without a line in the changelog.
 */
export const resultIds: Readonly<Record<string, ResultId>> = {
  "season.signals": { unit: "count", meaning: "Signals accepted from the dig log", room: "log" },
  "log.rows": { unit: "count", meaning: "Rows of a log by what became of them", room: "log" },
  "log.rulesBroken": { unit: "count", meaning: "Times that rejected rows broke a rule", room: "log" },
  "season.sites": { unit: "count", meaning: "Sites with a signal", room: "sweep" },
  "season.outcomes": {
    unit: "count",
    meaning: "Signals by what came of them; all outcomes add up to the signals",
    room: "sweep",
  },
  "season.grades": {
    unit: "count",
    meaning: "Signals with an outcome, by class and by how well it is known",
    room: "sweep",
  },
  "season.outcomeBySite": {
    unit: "count",
    meaning: "Signals by site and by what came of them",
    room: "sweep",
  },
  "season.outcomeByMonth": {
    unit: "count",
    meaning: "Signals by month and by what came of them",
    room: "sweep",
  },
  "season.callByOutcome": {
    unit: "count",
    meaning: "Signals by the person's own call and by what came of them",
    room: "sweep",
  },
  "season.callByDug": {
    unit: "count",
    meaning: "Signals by the person's own call and by what was done",
    room: "sweep",
  },
  "season.findsInHole": {
    unit: "count",
    meaning: "Holes dug to the end, by the number of finds in them",
    room: "sweep",
  },
  "season.holes": { unit: "count", meaning: "Holes dug to the end", room: "sweep" },
  "season.finds": { unit: "count", meaning: "Finds out of the holes", room: "sweep" },
  "season.goodFinds": { unit: "count", meaning: "Finds that their finder marked to keep", room: "sweep" },
  "season.goodHoles": {
    unit: "share",
    meaning: "Share of the holes with a find worth keeping",
    room: "sweep",
  },
  "season.holesPerGoodFind": {
    unit: "holes",
    meaning: "Holes dug to the end for one find worth keeping",
    room: "sweep",
  },
  "season.findsPerHole": { unit: "finds", meaning: "Mean number of finds in a hole", room: "sweep" },
  "season.goodCallNotIron": {
    unit: "share",
    meaning: "Share that was not iron, of the signals called good and dug with a known outcome",
    room: "sweep",
  },
  "season.ironCallIron": {
    unit: "share",
    meaning: "Share that was iron, of the signals called iron and dug with a known outcome",
    room: "sweep",
  },
  "season.leftUndug": { unit: "share", meaning: "Share of the signals left in the ground", room: "sweep" },
  "tones.cleanByTogether": {
    unit: "count",
    meaning: "Trials by the band of the target clean and beside a neighbour",
    room: "tones",
  },
  "tones.passesCleanByTogether": {
    unit: "count",
    meaning: "Passes by the band of the target clean and the pass's own band beside a neighbour",
    room: "tones",
  },
  "tones.sameBand": {
    unit: "share",
    meaning: "Share of trials or signals in one and the same band both ways",
    room: "tones",
  },
  "tones.kappa": { unit: "", meaning: "Cohen's kappa of two statements of a band", room: "tones" },
  "tones.weightedKappa": {
    unit: "",
    meaning: "Kappa with a disagreement weighed by the bands between",
    room: "tones",
  },
  "tones.balancedAccuracy": {
    unit: "share",
    meaning: "Share of trials or signals that keep their band, averaged over the bands",
    room: "tones",
  },
  "tones.movedDown": {
    unit: "share",
    meaning:
      "Of the trials or signals in two different bands, the share in the lower one together, or as read",
    room: "tones",
  },
  "tones.symmetryP": {
    unit: "",
    meaning: "p value of Bowker's test that moves between bands go as often one way as the other",
    room: "tones",
  },
  "tones.breakBalancedAccuracy": {
    unit: "share",
    meaning: "Mean of the share of masked goods above the iron break and the share of iron below it",
    room: "tones",
  },
  "tones.soundGapCm": {
    unit: "cm",
    meaning: "Gap at which the target and neighbour to be heard were laid",
    room: "tones",
  },
  "tones.quizDrawnFrom": {
    unit: "count",
    meaning: "Signals from which the sounds of the quiz were drawn, by what came out",
    room: "tones",
  },
  "tones.bandsDropped": {
    unit: "bands",
    meaning: "Mean number of bands by which a neighbour drops a target",
    room: "tones",
  },
  "tones.droppedAtLeastOne": {
    unit: "share",
    meaning: "Share of trials in which a neighbour drops a target by a band or more",
    room: "tones",
  },
  "tones.intoLowest": {
    unit: "share",
    meaning: "Share of trials, of those above the lowest band clean, that fall into it or go silent",
    room: "tones",
  },
  "tones.bandByOutcome": {
    unit: "count",
    meaning: "Signals by what came of them and by the band of their centre",
    room: "tones",
  },
  "tones.passesBandByOutcome": {
    unit: "count",
    meaning: "Passes by what came of their signal and by their own band",
    room: "tones",
  },
  "tones.heardByRead": {
    unit: "count",
    meaning: "Signals by the tone heard and by the band of their centre",
    room: "tones",
  },
  "tones.cellShare": {
    unit: "share",
    meaning: "Share of a row of a table of bands that lies in one of its columns",
    room: "tones",
  },
  "tones.schemeMcnemarP": {
    unit: "",
    meaning:
      "Mid p value of McNemar's test that a scheme and the machine's own let masked goods sound equally often",
    room: "tones",
  },
  "tones.leftOut": {
    unit: "count",
    meaning: "Trials or signals that a table of bands leaves out, by reason",
    room: "tones",
  },
  "tones.maskedAboveBreak": {
    unit: "share",
    meaning: "Share of the masked goods dug whose centre lies on or above the iron break",
    room: "tones",
  },
  "tones.nonFerrousAboveBreak": {
    unit: "share",
    meaning: "Share of the other non-ferrous finds whose centre lies on or above the iron break",
    room: "tones",
  },
  "tones.ironAboveBreak": {
    unit: "share",
    meaning: "Share of the iron dug whose centre lies on or above the iron break",
    room: "tones",
  },
  "tones.youden": {
    unit: "",
    meaning: "Youden's J of the iron break: masked goods above it minus iron above it",
    room: "tones",
  },
  "tones.schemeMaskedHeard": {
    unit: "share",
    meaning: "Share of the masked goods dug that sound above the lowest band of a scheme",
    room: "tones",
  },
  "tones.schemeIronHeard": {
    unit: "share",
    meaning: "Share of the iron dug that sounds above the lowest band of a scheme",
    room: "tones",
  },
  "tones.schemeMaskedDifference": {
    unit: "share",
    meaning: "Share of masked goods heard under a scheme minus under the machine's own, paired",
    room: "tones",
  },
  "tones.schemeIronDifference": {
    unit: "share",
    meaning: "Share of iron heard under a scheme minus under the machine's own, paired",
    room: "tones",
  },
  "tones.schemeNextIsGood": {
    unit: "share",
    meaning: "Share of masked goods among masked goods and iron in the band next to a scheme's lowest",
    room: "tones",
  },
  "tones.schemeMoved": {
    unit: "share",
    meaning: "Share of trials whose target a neighbour moves into another band of a scheme, or silences",
    room: "tones",
  },
  "tones.schemeMovedDifference": {
    unit: "share",
    meaning: "Share of trials moved under a scheme minus under the machine's own, paired",
    room: "tones",
  },
  "tones.schemeDropped": {
    unit: "bands",
    meaning: "Mean number of a scheme's bands by which a neighbour drops a target",
    room: "tones",
  },
  "tones.lowestBreak": {
    unit: "reading units",
    meaning: "Lowest of the breaks that separate good targets from iron most cheaply",
    room: "tones",
  },
  "tones.apparentGain": {
    unit: "iron holes",
    meaning: "Cost a signal saved by chosen breaks on the signals they were chosen on",
    room: "tones",
  },
  "tones.heldOutGain": {
    unit: "iron holes",
    meaning: "Cost a signal saved by chosen breaks on sites they were not chosen on",
    room: "tones",
  },
  "tones.optimism": { unit: "iron holes", meaning: "Apparent gain minus held-out gain", room: "tones" },
  "tones.goodDugMore": {
    unit: "share",
    meaning: "Share of good targets dug under chosen breaks minus under the machine's own, held-out sites",
    room: "tones",
  },
  "tones.ironDugMore": {
    unit: "share",
    meaning: "Share of iron dug under chosen breaks minus under the machine's own, held-out sites",
    room: "tones",
  },
  "garden.trials": { unit: "count", meaning: "Trials of the garden log, by kind", room: "garden" },
  "garden.blocks": { unit: "count", meaning: "Blocks of the garden log", room: "garden" },
  "garden.readings": {
    unit: "count",
    meaning: "Drifts of the garden, one a trial and direction, by what they rest on",
    room: "garden",
  },
  "garden.silentReadings": {
    unit: "count",
    meaning: "Trials and directions in which every pass was silent",
    room: "garden",
  },
  "garden.setAside": {
    unit: "count",
    meaning: "Readings of the garden set aside, by reason",
    room: "garden",
  },
  "garden.pairs": {
    unit: "count",
    meaning: "Pairs of objects as laid, by what is known of their half gap",
    room: "garden",
  },
  "garden.pairTrials": { unit: "count", meaning: "Trials of a pair that give a drag", room: "garden" },
  "garden.pairBlocks": { unit: "count", meaning: "Blocks in which a pair gives a drag", room: "garden" },
  "garden.closestGapCm": { unit: "cm", meaning: "Closest gap at which a pair was laid", room: "garden" },
  "garden.halfGapCm": {
    unit: "cm",
    meaning: "Gap at which the fitted drag of a pair is one half",
    room: "garden",
  },
  "garden.clearGapCm": {
    unit: "cm",
    meaning:
      "Gap beyond which the interval of a pair's drift lies within what passes and display do by themselves",
    room: "garden",
  },
  "garden.driftAtGap": {
    unit: "reading units",
    meaning: "Drift of a pair at a gap, from the trials at and near it",
    room: "garden",
  },
  "garden.meanDriftAtGap": {
    unit: "reading units",
    meaning: "Mean drift of the trials of a pair at a gap, over blocks",
    room: "garden",
  },
  "garden.trialsAtGap": { unit: "count", meaning: "Trials of a pair at a gap", room: "garden" },
  "garden.aboveBreakAtGap": {
    unit: "share",
    meaning:
      "Chance that a pass over a pair reads on or above the iron break at a gap, from the fitted curve",
    room: "garden",
  },
  "garden.aboveBreakTogether": {
    unit: "share",
    meaning: "Share of passes over a pair on or above the iron break, all gaps laid together",
    room: "garden",
  },
  "garden.aboveBreakNeighbour": {
    unit: "share",
    meaning: "Share of passes over a neighbour alone that read on or above the iron break",
    room: "garden",
  },
  "garden.aboveBreakTarget": {
    unit: "share",
    meaning: "Share of passes over a target alone that read on or above the iron break",
    room: "garden",
  },
  "garden.stepOverNeighbour": {
    unit: "reading units",
    meaning: "Reading of a pair together less that of its bare neighbour, at the closest gap laid",
    room: "garden",
  },
  "garden.formError": {
    unit: "reading units",
    meaning: "Mean distance of foretold from actual readings in blocks left out, by form of curve",
    room: "garden",
  },
  "garden.formDifference": {
    unit: "reading units",
    meaning: "Error of a form of curve on blocks left out, less that of the curve in use",
    room: "garden",
  },
  "garden.additiveDifference": {
    unit: "reading units",
    meaning: "Error on blocks left out with q as target's part plus neighbour's part, less that with free q",
    room: "garden",
  },
  "garden.halfGapDifferenceCm": {
    unit: "cm",
    meaning: "Half gap of a pair under the second of two levels less that under the first",
    room: "garden",
  },
  "garden.comparisons": {
    unit: "count",
    meaning: "Comparisons of half gaps, by what was compared and what came of them",
    room: "garden",
  },
  "garden.comparisonP": {
    unit: "",
    meaning: "Two-sided p of a comparison, from labels dealt anew within blocks",
    room: "garden",
  },
  "garden.smallestP": {
    unit: "",
    meaning: "Smallest p that the labels of a comparison could have given",
    room: "garden",
  },
  "garden.silentPasses": {
    unit: "share",
    meaning: "Share of the passes over a pair that gave no number",
    room: "garden",
  },
  "garden.halfGapSilentAsNeighbourCm": {
    unit: "cm",
    meaning: "Half gap of a pair with silent readings taken as the neighbour's",
    room: "garden",
  },
  "garden.kindLowestCm": {
    unit: "cm",
    meaning: "Smallest half gap among objects of one kind",
    room: "garden",
  },
  "garden.kindHighestCm": {
    unit: "cm",
    meaning: "Largest half gap among objects of one kind",
    room: "garden",
  },
  "garden.kindWidestIntervalCm": {
    unit: "cm",
    meaning: "Widest interval of a single half gap among objects of one kind",
    room: "garden",
  },
  "garden.halfGapBootstrapCm": {
    unit: "cm",
    meaning: "Half gap of a pair with the BCa interval over blocks",
    room: "garden",
  },
  "garden.nextTrials": { unit: "count", meaning: "Trials proposed next for a pair", room: "garden" },
  "garden.nextPairs": { unit: "count", meaning: "Pairs for which trials are proposed", room: "garden" },
  "garden.nextWithoutHalfGap": {
    unit: "count",
    meaning: "Pairs among them that have no half gap yet",
    room: "garden",
  },
  "garden.widthNowCm": {
    unit: "cm",
    meaning: "Width of the half gap's interval as it is",
    room: "garden",
  },
  "garden.widthAfterCm": {
    unit: "cm",
    meaning: "Width that the half gap's interval should have after the next trials proposed",
    room: "garden",
  },
  "model.learntFrom": {
    unit: "count",
    meaning: "Dug signals of known outcome that the models learn from, by outcome",
    room: "model",
  },
  "model.signals": {
    unit: "count",
    meaning: "Signals to learn from by outcome, and signals that teach nothing by what is known of them",
    room: "model",
  },
  "model.folds": { unit: "count", meaning: "Folds of whole sites or outings", room: "model" },
  "model.logLoss": {
    unit: "nats",
    meaning: "Mean of -ln(probability given to what came out) on sites not seen",
    room: "model",
  },
  "model.lossDifference": {
    unit: "nats",
    meaning: "Log loss above that of the best engine, signal by signal",
    room: "model",
  },
  "model.brier": {
    unit: "",
    meaning: "Mean squared error of the probabilities, summed over the outcomes, on sites not seen",
    room: "model",
  },
  "model.brierMiscalibration": {
    unit: "",
    meaning: "Part of the Brier score lost by chances that do not mean what they say",
    room: "model",
  },
  "model.brierDiscrimination": {
    unit: "",
    meaning: "Part of the Brier score gained by telling signals apart",
    room: "model",
  },
  "model.brierUncertainty": {
    unit: "",
    meaning: "Brier score of always giving the shares of the outcomes",
    room: "model",
  },
  "model.recalibrationChange": {
    unit: "nats",
    meaning: "Change of the log loss when chances are corrected by what came out at other sites",
    room: "model",
  },
  "model.recalibrationUsedChange": {
    unit: "nats",
    meaning:
      "Change of the log loss when chances are corrected where the signals of other folds gain by it, and only there",
    room: "model",
  },
  "model.foldsCorrected": {
    unit: "count",
    meaning: "Folds whose chances are corrected because the signals of the other folds gain by it",
    room: "model",
  },
  "model.ridgePenalty": {
    unit: "",
    meaning: "Penalty of the logistic model, chosen on inner folds of whole sites",
    room: "model",
  },
  "model.temperature": {
    unit: "",
    meaning: "Temperature that corrects an engine's chances: above 1 they were too sure, below 1 too shy",
    room: "model",
  },
  "model.accuracy": {
    unit: "share",
    meaning: "Share of signals whose likeliest outcome came out, on sites not seen",
    room: "model",
  },
  "model.worthArea": {
    unit: "share",
    meaning: "Chance that an engine ranks a signal worth a hole above a ferrous one, on sites not seen",
    room: "model",
  },
  "model.maskedArea": {
    unit: "share",
    meaning:
      "Chance that an engine ranks a masked good above a ferrous signal as a masked good, on sites not seen",
    room: "model",
  },
  "model.calibration": {
    unit: "share",
    meaning: "Share of signals worth a hole among those given about the same chance of it, on sites not seen",
    room: "model",
  },
  "model.meanChance": {
    unit: "share",
    meaning: "Mean chance of being worth a hole given to a group of signals, on sites not seen",
    room: "model",
  },
  "model.setSingle": {
    unit: "share",
    meaning: "Share of signals whose set of outcomes that they could be holds one only",
    room: "model",
  },
  "model.setCoverage": {
    unit: "share",
    meaning: "Share of signals whose set of outcomes held what came out, on sites not seen",
    room: "model",
  },
  "model.setSitesBelow": {
    unit: "count",
    meaning: "Sites at which the sets held what came out less often than the level asked for",
    room: "model",
  },
  "model.setSizes": {
    unit: "count",
    meaning: "Signals by outcome and by how many outcomes their set held",
    room: "model",
  },
  "model.missedChance": {
    unit: "share",
    meaning: "Chance that an engine gave to what came out of one hole, on a site not seen",
    room: "model",
  },
  "model.dugHigherChance": {
    unit: "share",
    meaning: "Chance that a dug signal has the higher value of a feature than one passed by",
    room: "model",
  },
  "model.longerHigherChance": {
    unit: "share",
    meaning: "Chance that, of two ferrous signals, the one swept longer has the higher value of a feature",
    room: "model",
  },
  "model.treeStep": {
    unit: "count",
    meaning: "Dug signals that come to a step of the single tree, by outcome",
    room: "model",
  },
  "model.recall": {
    unit: "share",
    meaning: "Of the signals with an outcome, the share that the engine held likeliest to have it",
    room: "model",
  },
  "model.precision": {
    unit: "share",
    meaning: "Of the signals held likeliest to have an outcome, the share that had it",
    room: "model",
  },
  "model.confusion": {
    unit: "count",
    meaning: "Outcome against what the engine held likeliest, on sites not seen",
    room: "model",
  },
  "model.higherChance": {
    unit: "share",
    meaning: "Chance that a signal of one kind has the higher value of a feature than one of another kind",
    room: "model",
  },
  "model.importance": {
    unit: "nats",
    meaning: "Growth of an engine's log loss on sites not seen when a feature is shuffled within them",
    room: "model",
  },
  "model.dependence": {
    unit: "share",
    meaning: "Mean chance that an engine gives on sites not seen where one feature is set to one value",
    room: "model",
  },
  "model.learningSignals": {
    unit: "count",
    meaning: "Signals that an engine learnt from on average, at a point of a learning curve",
    room: "model",
  },
  "model.learningLoss": {
    unit: "nats",
    meaning: "Log loss on sites not seen of an engine that learnt from a share of the others",
    room: "model",
  },
  "model.casesToHalve": {
    unit: "count",
    meaning: "More cases, from new sites, that would halve the interval of a share",
    room: "model",
  },
  "model.lateSignals": {
    unit: "count",
    meaning: "Signals learnt from or judged in a run through time, by months",
    room: "model",
  },
  "model.lateAtKnownSites": {
    unit: "count",
    meaning: "Signals judged in a run through time that lie at sites learnt from",
    room: "model",
  },
  "model.lateLogLoss": {
    unit: "nats",
    meaning: "Log loss on later months of an engine that learnt from earlier ones",
    room: "model",
  },
  "model.lateUnderBaseRates": {
    unit: "nats",
    meaning:
      "Log loss on later months under that of the earlier months' shares of outcomes, signal by signal",
    room: "model",
  },
  "model.lateAboveOtherSites": {
    unit: "nats",
    meaning: "Log loss on later months above that of models from other sites of all months, signal by signal",
    room: "model",
  },
  "model.coefficient": {
    unit: "",
    meaning: "Change in log odds of an outcome for one standard deviation of a column of the logistic model",
    room: "model",
  },
  "model.centreMedian": {
    unit: "reading units",
    meaning: "Median of the feature centre among the signals of an outcome",
    room: "model",
  },
  "model.spreadMedian": {
    unit: "reading units",
    meaning: "Median of the feature spread among the signals of an outcome",
    room: "model",
  },
  "model.asymmetryMedian": {
    unit: "reading units",
    meaning: "Median of the feature asymmetry among the signals of an outcome",
    room: "model",
  },
  "model.turnChangeMedian": {
    unit: "reading units",
    meaning: "Median of the feature change after a quarter turn among the signals of an outcome",
    room: "model",
  },
  "model.dropoutMedian": {
    unit: "share",
    meaning: "Median of the feature dropout among the signals of an outcome",
    room: "model",
  },
  "model.ironShareMedian": {
    unit: "share",
    meaning: "Median of the feature iron share among the signals of an outcome",
    room: "model",
  },
  "model.bestRepeatMedian": {
    unit: "reading units",
    meaning: "Median of the feature best repeat among the signals of an outcome",
    room: "model",
  },
  "model.indicatedDepthCmMedian": {
    unit: "cm",
    meaning: "Median of the feature indicated depth in centimetres among the signals of an outcome",
    room: "model",
  },
  "model.indicatedDepthStepMedian": {
    unit: "steps",
    meaning: "Median of the feature indicated depth in words among the signals of an outcome",
    room: "model",
  },
  "model.bothWaysMedian": {
    unit: "share",
    meaning: "Median of the feature sounds both ways among the signals of an outcome",
    room: "model",
  },
  "model.afterTurnMedian": {
    unit: "steps",
    meaning: "Median of the feature what it did after the turn among the signals of an outcome",
    room: "model",
  },
  "model.ironNearMedian": {
    unit: "steps",
    meaning: "Median of the feature iron near among the signals of an outcome",
    room: "model",
  },
  "model.ownCallMedian": {
    unit: "share",
    meaning: "Median of the feature own call among the signals of an outcome",
    room: "model",
  },
  "model.aboveSiteIronMedian": {
    unit: "reading units",
    meaning: "Median of the feature height above the site's iron among the signals of an outcome",
    room: "model",
  },
  "model.amongDug": {
    unit: "share",
    meaning: "Share of an outcome among the dug signals of known outcome",
    room: "model",
  },
  "model.amongAll": {
    unit: "share",
    meaning: "Share of an outcome among all signals, by strata of band and step; at least and at most",
    room: "model",
  },
  "model.amongAllWeighted": {
    unit: "share",
    meaning:
      "Share of an outcome among all signals, each dug one weighted by one over its chance of being dug",
    room: "model",
  },
  "model.strata": {
    unit: "count",
    meaning: "Strata of tone band and step over the site's iron",
    room: "model",
  },
  "model.thinStrata": {
    unit: "count",
    meaning: "Strata with fewer than five dug signals and others not dug",
    room: "model",
  },
  "model.boundedSignals": {
    unit: "count",
    meaning: "Signals without an outcome in thin strata",
    room: "model",
  },
  "model.effectiveDug": {
    unit: "count",
    meaning: "Number of holes dug by lot that would tell as much as the weighted ones",
    room: "model",
  },
  "decide.holes": { unit: "count", meaning: "Holes that a dig rule would have dug", room: "decide" },
  "decide.goodFinds": {
    unit: "count",
    meaning: "Good finds in the holes that a dig rule would have dug",
    room: "decide",
  },
  "decide.holesPerGoodFind": {
    unit: "holes",
    meaning: "Holes for one good find under a dig rule",
    room: "decide",
  },
  "decide.holesSpared": {
    unit: "share",
    meaning: "Share of the holes that a dig rule spares",
    room: "decide",
  },
  "decide.goodsMissed": {
    unit: "share",
    meaning: "Share of the good finds that a dig rule leaves in the ground",
    room: "decide",
  },
  "decide.net": {
    unit: "holes",
    meaning:
      "Good holes in 100 signals under a dig rule, less ferrous ones at the price that the worth of a good signal sets",
    room: "decide",
  },
  "decide.netGain": {
    unit: "holes",
    meaning: "What the model's dig rule nets in 100 signals above another rule, signal by signal",
    room: "decide",
  },
  "decide.passedBy": {
    unit: "count",
    meaning: "Signals not dug out of those the person called iron, or below the iron break",
    room: "decide",
  },
  "decide.goodThoughPassed": {
    unit: "share",
    meaning:
      "Share that was not ferrous among signals dug although they were called iron, or lay below the break",
    room: "decide",
  },
  "decide.digOneIn": {
    unit: "count",
    meaning: "Dig one in so many of the signals one would pass by, at a worth of a good signal in holes",
    room: "decide",
  },
  "decide.holesToLearn": {
    unit: "count",
    meaning: "Holes among the signals passed by that this would have cost",
    room: "decide",
  },
  "virtual.halfGapCm": {
    unit: "cm",
    meaning: "Half gap of a simulated pair as laid, without noise",
    room: "virtual",
  },
  "virtual.loudnessAtHalfGap": {
    unit: "",
    meaning: "How loud the neighbour is at the simulated half gap, the target as 1",
    room: "virtual",
  },
  "virtual.dragTouching": {
    unit: "",
    meaning: "Simulated drag of a neighbour that touches the target, without noise",
    room: "virtual",
  },
  "virtual.halfGapScatterCm": {
    unit: "cm",
    meaning: "Median half gap of simulated nails of one kind, with the middle nine tenths of them",
    room: "virtual",
  },
  "virtual.neverHalfWay": {
    unit: "share",
    meaning: "Share of simulated nails that never drag the target half-way",
    room: "virtual",
  },
  "virtual.practiceShare": {
    unit: "share",
    meaning: "Share of plausible simulated cases that meet what people say of masking",
    room: "virtual",
  },
  "garden.kindPairs": {
    unit: "count",
    meaning: "Layings of one kind of neighbour beside a target",
    room: "garden",
  },
  "garden.kindNever": {
    unit: "count",
    meaning: "Layings of a kind that never reach a half gap",
    room: "garden",
  },
  "garden.kindCannotTell": {
    unit: "count",
    meaning: "Layings of a kind whose half gap cannot be told yet",
    room: "garden",
  },
};
