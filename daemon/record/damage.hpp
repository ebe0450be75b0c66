// Is the record damaged? Asked at the opening after an unclean stop, and after the daemon met damage while it
// ran, which it leaves a mark of beside the record for its next start. Thread: the connection's.
#pragma once

#include <string>

#include "record/database.hpp"

namespace drumwatch {

enum class DamageCheck : std::uint8_t {
    quick,    ///< every page's structure; what there was no time to look at counts as well
    thorough  ///< indexes against their tables too; what there was no time to look at counts as damaged
};

/// What is wrong; empty: nothing. Takes 10 s at most, plus one read of the disk: the watch waits for it.
/// Throws where no thread can be had.
std::string damage_of(Database& database, DamageCheck check);

/// Leaves the mark, or takes it away. A disk that refuses it is already said to fail.
void mark_damaged(const std::string& path, bool damaged);
bool marked_damaged(const std::string& path);

/// Moves the record with its logs and mark to "PATH.damaged-SECONDS": alone the main file would be an older
/// state. Gives the sentence that says so.
Result<std::string> set_aside(const std::string& path);

}  // namespace drumwatch
