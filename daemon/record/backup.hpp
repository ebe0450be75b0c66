// A whole copy of an open database, by SQLite's backup interface: written
// under a temporary name, checked, synced, renamed. Failure leaves nothing behind and says why.
#pragma once

#include <string>

#include "record/database.hpp"

namespace drumwatch {

Result<Done> backup(Database& database, const std::string& to_path);
/// What was written to it outlives a power cut from then on.
Result<Done> sync_file(const std::string& path);
/// A rename in it outlives a power cut from then on.
Result<Done> sync_folder_of(const std::string& path);

}  // namespace drumwatch
