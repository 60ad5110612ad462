export {
  type Applied,
  applySchema,
  type ApplySchemaOptions,
  faultLine,
  type RowInHand,
  type RowSchema,
} from "./apply_schema.ts";
export * from "./csv_text.ts";
export * from "./data_dictionary.ts";
export {
  deriveOutcome,
  type DeriveOutcomeOptions,
  OUTCOME_RULE,
  type OutcomeFacts,
  standingReadings,
} from "./derive_outcome.ts";
export { expandLogFile, machinesInArchive } from "./expand_log_file.ts";
export * from "./fields.ts";
export * from "./file_fault.ts";
export { countOutcomes } from "./count_outcomes.ts";
export { type DigLog, loadDigLog, type LoadDigLogOptions } from "./load_dig_log.ts";
export { type GardenLog, loadGardenLog, type LoadGardenLogOptions } from "./load_garden_log.ts";
export * from "./machines.ts";
export { type MappedTable, MAPPING_NOTES, mapTable, type MapTableOptions } from "./map_table.ts";
export {
  type ColumnMapping,
  columnMappingSchema,
  type DateOrder,
  type FindWord,
  IRON_DISTANCES_CM,
  type LengthUnit,
  type MappedColumn,
  type MappedTableName,
  mappingText,
  parseMapping,
  type ReadingsConventions,
} from "./mapping.ts";
export { matchColumns, type MatchColumnsOptions, patchLines, questionsText } from "./match_columns.ts";
export { measureRepeatNoise, type MeasureRepeatNoiseOptions } from "./measure_repeat_noise.ts";
export type { Duplicate, DuplicateRow } from "./merge_duplicates.ts";
export * from "./merge_logs.ts";
export * from "./merge_machines.ts";
export * from "./nearest_word.ts";
export * from "./open_data.ts";
export { CellFault, cellSchema, readCell, rowSchema } from "./read_cell.ts";
export { amendMapping, type MappingPatch } from "./amend_mapping.ts";
export {
  type MappingProposal,
  type MappingQuestion,
  type MappingReason,
  proposeMapping,
  type ProposeMappingOptions,
} from "./propose_mapping.ts";
export * from "./read_log_file.ts";
export * from "./read_readings.ts";
export * from "./read_table.ts";
export * from "./rejected_csv.ts";
export * from "./report.ts";
export { correctedIn, rejectedLines, reportText } from "./report_text.ts";
export * from "./rows.ts";
export * from "./find_suspicious.ts";
export {
  findSuspiciousTrials,
  type FindSuspiciousTrialsOptions,
  SUSPICIOUS_TRIALS,
} from "./find_suspicious_trials.ts";
export * from "./holes_left_open.ts";
export { READERS } from "./readers.ts";
export {
  type Encoding,
  ENCODINGS,
  type Format,
  FORMATS,
  type Reader,
  type ReadOptions,
  type Table,
  type TableNote,
} from "./table.ts";
export * from "./table_schema.ts";
export * from "./to_frame.ts";
export * from "./words.ts";
export { plainCsv } from "./plain_csv.ts";
