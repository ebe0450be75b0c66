// An id for each command, so that a retry acts once. crypto.randomUUID is missing on plain http to a LAN address;
// getRandomValues is not. Layout of version 4, RFC 9562 section 5.4.

export function make_uuid(random: (bytes: Uint8Array) => Uint8Array): string {
    const bytes = random(new Uint8Array(16));
    bytes[6] = ((bytes[6] as number) & 0x0f) | 0x40;
    bytes[8] = ((bytes[8] as number) & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}
