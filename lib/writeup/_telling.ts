import { diskFault } from "./disk_fault.ts";

/** Runs a piece of work on the disk; what goes wrong is told as a fault of the folder asked for. */
export async function telling<T>(out: string, what: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw diskFault(error, out, what === "finish" ? { verb: "finish" } : {});
  }
}
