// A JSON object of plain values (no objects or lists inside), which is all that a command carries. Strict
// RFC 8259: a repeated key, a nested value, broken UTF-8 and anything after the object are refused. Bounded
// memory and stack for any input.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/result.hpp"

namespace drumwatch {

/// null, true or false, number, text.
using FlatValue = std::variant<std::nullptr_t, bool, double, std::string>;

struct FlatMember {
    std::string key;
    FlatValue value;
};

class FlatObject {
  public:
    static Result<FlatObject> parse(std::string_view text);
    const FlatValue* find(std::string_view key) const;
    const std::vector<FlatMember>& members() const { return members_; }

  private:
    std::vector<FlatMember> members_;
};

}  // namespace drumwatch
