// Schemas of web/server/openapi.json, judged by an independent validator, ajv.
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { page_require } from "./browser.mjs";

const document = JSON.parse(readFileSync(fileURLToPath(new URL("../../../web/server/openapi.json", import.meta.url)), "utf8"));
const { default: Validator } = page_require("ajv/dist/2020.js");
const validator = new Validator({ allErrors: true, strict: false, validateFormats: false });
validator.addSchema(document, "api");

/** A function that tells whether a value fits components/schemas/NAME, with `errors` of the last one, and `schema`. */
export function schema_of(name) {
    const fits = validator.getSchema(`api#/components/schemas/${name}`);
    const told = (value) => {
        const good = fits(value);
        told.errors = fits.errors;
        return good;
    };
    told.schema = document.components.schemas[name];
    return told;
}

/** Of the body that a POST to the path carries. */
export function body_of(path) {
    const reference = document.paths[path].post.requestBody.content["application/json"].schema.$ref;
    return schema_of(reference.split("/").pop());
}
