// node run.mjs [WORD]: all tests, or those whose name holds the word.
import { all } from "./tools.mjs";
import "./report.mjs";
import "./page.mjs";

process.exitCode = (await all(process.argv[2])) > 0 ? 1 : 0;
