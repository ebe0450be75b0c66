// Records that builds of earlier schema versions wrote.
#pragma once

#include <doctest/doctest.h>
#include <zlib.h>

#include <fstream>
#include <string>

namespace drumwatch {

/// The size of what was unpacked.
inline std::size_t unpack_stored(const std::string& name, const std::string& path) {
    gzFile packed = gzopen((DRUMWATCH_STORED "/" + name).c_str(), "rb");
    REQUIRE(packed != nullptr);
    std::string bytes(1'000'000, '\0');
    bytes.resize(static_cast<std::size_t>(gzread(packed, bytes.data(), 1'000'000)));
    gzclose(packed);
    std::ofstream(path, std::ios::binary) << bytes;
    return bytes.size();
}

}  // namespace drumwatch
