#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace drumwatch {

/// Writes a whole file, or standard output where `path` is empty. An exit code (commands.hpp): something
/// other than kDone has been said.
int write_out(const std::string& path, const std::string& text);

/// The same, but a file that is there with other contents stays as it is.
int write_new(const std::string& path, const std::string& text);

/// A sentence where a file stands that is none of its kind (`mark` is not among its first bytes): a recording
/// or a target is not to be written over. Nothing where there is no such file, an empty one, or no regular
/// one.
std::optional<std::string> not_to_be_replaced(const std::string& path, std::string_view mark);

}  // namespace drumwatch
