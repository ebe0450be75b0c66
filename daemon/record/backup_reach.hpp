// In which order the backups of a folder were made, by what they hold: their names tell it only as long as
// the box's clock was right, and one without a battery stands in 1970 after a power cut. Thread: any, on
// connections of its own; reads a few rows a file, and more only where a name and what is held disagree.
#pragma once

#include <string>
#include <vector>

namespace drumwatch {

/// Given and returned with the oldest first. A backup whose record goes on from where another's ended comes
/// after that one; what is not told by that (two records, files that can't be read) stays by name.
std::vector<std::string> oldest_first(const std::vector<std::string>& by_name);

}  // namespace drumwatch
