#include "files/tolerance_json.hpp"

#include <fmt/format.h>

namespace drumwatch {
namespace {

constexpr NumberRange kDegrees{0.1, 50, "°C"};
constexpr NumberRange kSeconds{0, 600, "s"};

void check_order(JsonObject& object, std::string_view narrow_key, double narrow, std::string_view wide_key,
                 double wide) {
    if (wide >= narrow) return;
    object.complain(wide_key, fmt::format("is {} and narrower than {}, {}: it must be at least that wide",
                                          wide, narrow_key, narrow));
}

}  // namespace

void read_tolerance(JsonObject& object, Tolerance& into) {
    object.read("bean_c", into.bean_c, kDegrees);
    object.read("hold_c", into.hold_c, kDegrees);
    object.read("rise_s", into.rise_s, kSeconds);
    object.read("outside_s", into.outside_s, kSeconds);
    object.read("from_s", into.from_s, kSeconds);
    object.read("move_s", into.move_s, kSeconds);
    object.read("end_taste_c", into.end_taste_c, kDegrees);
    object.read("end_hold_c", into.end_hold_c, kDegrees);
    object.read("gap_s", into.gap_s, kSeconds);
    check_order(object, "bean_c", into.bean_c, "hold_c", into.hold_c);
    check_order(object, "end_taste_c", into.end_taste_c, "end_hold_c", into.end_hold_c);
}

}  // namespace drumwatch
