import { startKernel } from "../../lib/writeup/kernel.ts";

const kernel = await startKernel({ cwd: new URL("../../", import.meta.url).pathname });
console.log(kernel.pid);
await kernel.execute("while (true) {}");
