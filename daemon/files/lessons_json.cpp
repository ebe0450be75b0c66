#include "files/lessons_json.hpp"

#include <fmt/format.h>

#include <vector>

#include "files/file_bytes.hpp"
#include "files/json_object.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxLessonsBytes = 64 * 1024;
constexpr std::string_view kFormatKey = "drumwatch_lessons";

/// Every field, once, for reading and for writing. `Known` is Lessons or const Lessons.
template <typename Known, typename Visit>
void each_field(Known& lessons, Visit visit) {
    visit("roasts", lessons.roasts, NumberRange{0, 1'000'000});
    visit("crack_c", lessons.crack_c, NumberRange{0, 300, "°C"});
    visit("crack_spread_c", lessons.crack_spread_c, NumberRange{0, 100, "°C"});
    visit("weight", lessons.weight, NumberRange{0, 1'000'000});
    visit("pace", lessons.pace, NumberRange{-2, 2});
    visit("pace_weight", lessons.pace_weight, NumberRange{0, 1'000'000});
}
static_assert(sizeof(Lessons) == 48, "a field of Lessons that each_field does not name is lost in the file");

std::vector<JsonKey> keys() {
    std::vector<JsonKey> all{{kFormatKey, true}};
    Lessons any;
    each_field(any, [&](std::string_view key, auto&, NumberRange) { all.push_back({key}); });
    return all;
}

void read_field(JsonObject& object, std::string_view key, double& into, NumberRange range) {
    object.read(key, into, range);
}
void read_field(JsonObject& object, std::string_view key, int& into, NumberRange range) {
    std::int64_t whole = into;
    object.read(key, whole, range);
    into = static_cast<int>(whole);
}

Error first_of(const std::vector<JsonMistake>& mistakes) {
    const JsonMistake& mistake = mistakes.front();
    const std::string where = mistake.pointer.empty() ? "" : mistake.pointer + ": ";
    return Error{fmt::format("line {}: {}{}", mistake.place.line, where, mistake.message)};
}

}  // namespace

Result<Lessons> parse_lessons(const std::string& text) {
    const JsonReading reading = read_json(text, JsonComments::refused);
    if (!reading.mistakes.empty() || !reading.root) return first_of(reading.mistakes);
    std::vector<JsonMistake> mistakes;
    const std::vector<JsonKey> known = keys();
    JsonObject object(*reading.root, "", known, mistakes);
    std::int64_t format = 0;
    object.read(kFormatKey, format, {1, 1});
    Lessons lessons;
    each_field(lessons, [&](std::string_view key, auto& field, NumberRange range) {
        read_field(object, key, field, range);
    });
    if (!mistakes.empty()) return first_of(mistakes);
    return lessons;
}

Result<Lessons> read_lessons(const std::string& path) {
    const auto text = read_file_bytes(path, kMaxLessonsBytes);
    if (!text) return Error{path + ": " + text.error()};
    auto lessons = parse_lessons(text.value());
    if (!lessons) return Error{path + ": " + lessons.error()};
    return lessons;
}

std::string write_lessons(const Lessons& lessons) {
    std::string out = fmt::format("{{\"{}\": 1", kFormatKey);
    each_field(lessons, [&](std::string_view key, const auto& field, NumberRange) {
        out += fmt::format(", \"{}\": {}", key, field);  // the shortest digits that read back the same
    });
    return out + "}\n";
}

}  // namespace drumwatch
