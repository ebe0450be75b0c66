// A value, or a sentence that says what went wrong and what to do. Must be looked at.
#pragma once

#include <string>
#include <utility>
#include <variant>

namespace drumwatch {

struct Error {
    std::string message;  ///< for a person: what is wrong, what would be right
};

template <typename T>
class [[nodiscard]] Result {
  public:
    Result(T value) : state_(std::move(value)) {}
    Result(Error error) : state_(std::move(error)) {}
    bool ok() const { return state_.index() == 0; }
    explicit operator bool() const { return ok(); }
    T& value() { return std::get<0>(state_); }
    const T& value() const { return std::get<0>(state_); }
    const std::string& error() const { return std::get<1>(state_).message; }

  private:
    std::variant<T, Error> state_;
};

/// Success without a value.
struct Done {};

}  // namespace drumwatch
