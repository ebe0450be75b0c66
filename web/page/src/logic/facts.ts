// Weight and colour as a hand types them, and as they are said.
import type { RoastEntry } from "./api";
import { plain, unbroken } from "./words";

export type FactKind = "charge_kg" | "roasted_kg" | "colour";
export type Typed = Record<FactKind, string>;

export const kNothingTyped: Typed = { charge_kg: "", roasted_kg: "", colour: "" };

/** A decimal comma counts as a point; null: not a number, or none that can be. */
export function number_of(typed: string): number | null {
    const text = typed.trim().replace(",", ".");
    if (!/^\d{1,5}(\.\d{1,3})?$/.test(text)) return null;
    return Number(text);
}

/** What would be sent; null where a field can't be read, empty where all are. */
export function facts_of(typed: Typed): Partial<Record<FactKind, number>> | null {
    const facts: Partial<Record<FactKind, number>> = {};
    for (const kind of Object.keys(typed) as FactKind[]) {
        if (typed[kind].trim() === "") continue;
        const value = number_of(typed[kind]);
        if (value === null) return null;
        facts[kind] = value;
    }
    return facts;
}

/** What is in the record so far; empty: nothing. */
export function known_sentence(entry: RoastEntry): string {
    const facts = entry.facts;
    if (!facts) return "";
    const parts: string[] = [];
    if (facts.charge_kg !== null) parts.push(`charged ${plain(facts.charge_kg, 2)} kg`);
    if (facts.roasted_kg !== null) parts.push(`roasted ${plain(facts.roasted_kg, 2)} kg`);
    if (facts.weight_loss_pct !== null) parts.push(`weight loss ${plain(facts.weight_loss_pct)} %`);
    if (facts.colour !== null) parts.push(`colour ${plain(facts.colour)}`);
    return parts.length === 0 ? "" : unbroken(`In the record: ${parts.join(", ")}.`);
}
