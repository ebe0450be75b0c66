// A whole copy of an open database, by SQLite's backup interface from the writer's own connection: written
// under a temporary name, checked, synced, renamed. Failure leaves nothing behind and says why.
#pragma once

#include <string>

#include "record/database.hpp"

namespace drumwatch {

Result<Done> backup(Database& database, const std::string& to_path);

}  // namespace drumwatch
