// The fields of a POST's body, read by name; collects what is wrong with them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "web/flat_object.hpp"
#include "web/problem.hpp"

namespace drumwatch {

class Fields {
  public:
    /// `object` must outlive it. Keys that are not `known` are mistakes.
    Fields(const FlatObject& object, std::span<const std::string_view> known);

    /// On one line, at most so many characters; of a required one at least one.
    std::string text(std::string_view key, bool required, std::size_t most);
    std::optional<double> number(std::string_view key, bool required, double low, double high);
    bool has(std::string_view key) const { return object_.find(key) != nullptr; }
    bool is_null(std::string_view key) const;
    void wrong(std::string_view key, std::string what);
    const std::vector<BodyMistake>& mistakes() const { return mistakes_; }

  private:
    const FlatObject& object_;
    std::vector<BodyMistake> mistakes_;
};

/// 422 with every mistake at its place.
Response refusal(const Fields& fields);

}  // namespace drumwatch
