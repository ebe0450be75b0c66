// Any bytes as a roast file: an error or a file, never a crash; what was read, written and read again is the
// same.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "files/file_bytes.hpp"
#include "files/roast_csv.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    (void)drumwatch::unpack_gzip(text, 1 << 20).ok();
    const auto file = drumwatch::parse_roast_csv(text);
    if (!file) return 0;
    const std::string written = drumwatch::write_roast_csv(file.value());
    const auto again = drumwatch::parse_roast_csv(written);
    if (!again || drumwatch::write_roast_csv(again.value()) != written) std::abort();
    if (again.value().rows.size() != file.value().rows.size()) std::abort();
    return 0;
}
