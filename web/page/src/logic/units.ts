// °C or °F at the edge only: the API and all of the page's own arithmetic are in °C.

export type Scale = "c" | "f";

/** A temperature. */
export function to_scale(celsius: number, scale: Scale): number {
    return scale === "f" ? (celsius * 9) / 5 + 32 : celsius;
}

export function from_scale(value: number, scale: Scale): number {
    return scale === "f" ? ((value - 32) * 5) / 9 : value;
}

/** A difference of temperatures, or a rate: no offset. */
export function span_to_scale(celsius: number, scale: Scale): number {
    return scale === "f" ? (celsius * 9) / 5 : celsius;
}

export function span_from_scale(value: number, scale: Scale): number {
    return scale === "f" ? (value * 5) / 9 : value;
}

export function unit_symbol(scale: Scale): string {
    return scale === "f" ? "°F" : "°C";
}
