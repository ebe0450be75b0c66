// SHA-256 (FIPS PUB 180-4), by libcrypto. PURE; any thread; throws std::bad_alloc only.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace drumwatch {

using Digest = std::array<std::uint8_t, 32>;

Digest sha256(std::string_view bytes);
/// Lower case, two digits a byte.
std::string hex(std::string_view bytes);
std::string hex(const Digest& digest);

}  // namespace drumwatch
