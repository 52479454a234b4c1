// Run a Python script with pinfeather in Pyodide, the Python that runs in browsers, under Node:
//
//     node ask.mjs SCRIPT.py
//
// Beside this file lie the folder node_modules with the package pyodide, and the folder wheels with the wheels of
// pinfeather and of the libraries it needs.  Nothing is fetched from anywhere.

import { readdirSync, readFileSync } from "node:fs";
import { loadPyodide } from "pyodide";

const pyodide = await loadPyodide();
const extractDir = pyodide.runPython("import site; site.getsitepackages()[0]");
const wheels = new URL("wheels/", import.meta.url);
for (const name of readdirSync(wheels).filter((file) => file.endsWith(".whl"))) {
  pyodide.unpackArchive(new Uint8Array(readFileSync(new URL(name, wheels))), "wheel", { extractDir });
}
try {
  pyodide.runPython(readFileSync(process.argv[2], "utf8"));
} catch (error) {
  console.error(error.message);
  process.exit(1);
}
