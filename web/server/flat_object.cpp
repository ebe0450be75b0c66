#include "web/flat_object.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

namespace drumwatch {
namespace {

using Json = nlohmann::json;

/// Takes the parser's events; the first complaint stops it.
class Collector final : public nlohmann::json_sax<Json> {
  public:
    std::vector<FlatMember> members;
    std::string complaint;

    bool null() override { return take(nullptr); }
    bool boolean(bool value) override { return take(value); }
    bool number_integer(number_integer_t value) override { return take(static_cast<double>(value)); }
    bool number_unsigned(number_unsigned_t value) override { return take(static_cast<double>(value)); }
    bool number_float(number_float_t value, const string_t& /*text*/) override { return take(value); }
    bool string(string_t& value) override { return take(std::move(value)); }
    bool binary(binary_t& /*value*/) override { return refuse("Binary values are not taken."); }
    bool start_array(std::size_t /*size*/) override { return refuse(nested()); }
    bool end_array() override { return true; }
    bool end_object() override { return true; }
    bool start_object(std::size_t /*size*/) override {
        if (open_) return refuse(nested());
        open_ = true;
        return true;
    }
    bool key(string_t& name) override {
        for (const FlatMember& member : members) {
            if (member.key == name) return refuse("\"" + name + "\" stands there twice.");
        }
        if (members.size() == kMost) return refuse("There are too many keys.");
        members.push_back({std::move(name), nullptr});
        return true;
    }
    bool parse_error(std::size_t position, const std::string& /*token*/,
                     const nlohmann::detail::exception& /*error*/) override {
        return refuse("It stops being JSON at byte " + std::to_string(position) + ".");
    }

  private:
    static constexpr std::size_t kMost = 32;
    static std::string nested() {
        return "It must be one object of plain values, such as {\"mark\": \"first_crack\"}.";
    }
    bool take(FlatValue value) {
        if (!open_) return refuse(nested());
        members.back().value = std::move(value);
        return true;
    }
    bool refuse(std::string why) {
        if (complaint.empty()) complaint = std::move(why);
        return false;
    }
    bool open_ = false;
};

}  // namespace

Result<FlatObject> FlatObject::parse(std::string_view text) {
    Collector collector;
    const bool whole = Json::sax_parse(text.begin(), text.end(), &collector);
    if (!whole) return Error{"The body is not what a command looks like. " + collector.complaint};
    FlatObject object;
    object.members_ = std::move(collector.members);
    return object;
}

const FlatValue* FlatObject::find(std::string_view key) const {
    for (const FlatMember& member : members_) {
        if (member.key == key) return &member.value;
    }
    return nullptr;
}

}  // namespace drumwatch
