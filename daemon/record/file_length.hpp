// Whether a database's file is cut short. Its own integrity check does not miss free pages at the end.
// Thread: the connection's.
#pragma once

#include <string>

#include "record/database.hpp"

namespace drumwatch {

/// Within a read transaction, which keeps the log as it is. A sentence; empty: the file and its log hold all
/// pages.
std::string cut_short(Database& database, const std::string& path);

}  // namespace drumwatch
