// Any bytes as a target: an error or a target, never a crash; a written target reads back to the same bytes.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "files/target_from_roast.hpp"
#include "files/target_json.hpp"

namespace {

void check_written(const drumwatch::Target& target) {
    const std::string written = drumwatch::write_target(target);
    const auto again = drumwatch::parse_target(written);
    if (!again || drumwatch::write_target(again.value()) != written) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    if (const auto target = drumwatch::parse_target(text); target.ok()) check_written(target.value());
    const auto roast = drumwatch::parse_roast_csv(text);
    if (roast.ok()) (void)drumwatch::target_from_roast(roast.value(), "roast.csv", {}).ok();
    return 0;
}
