// What a number on the command line may be; what is none (nan too) is refused with a sentence.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace drumwatch {

/// From `low` to `high`, both included; `unit` as it is said to a person, may be empty.
CLI::Validator number_between(double low, double high, const std::string& unit);

}  // namespace drumwatch
