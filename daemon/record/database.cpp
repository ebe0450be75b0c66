#include "record/database.hpp"

#include <sqlite3.h>

#include "record/frame_values.hpp"
#include "record/sha256.hpp"

namespace drumwatch {
namespace {

constexpr int kBusyTimeoutMs = 5000;

Error error_of(sqlite3* handle) { return Error{sqlite3_errmsg(handle)}; }

int flags_of(OpenMode mode) {
    const int common = SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_PRIVATECACHE;
    if (mode == OpenMode::read_only) return common | SQLITE_OPEN_READONLY;
    return common | SQLITE_OPEN_READWRITE | (mode == OpenMode::create ? SQLITE_OPEN_CREATE : 0);
}

}  // namespace

void Database::Close::operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }

Result<Database> Database::open(const std::string& path, OpenMode mode) {
    sqlite3* handle = nullptr;
    const int code = sqlite3_open_v2(path.c_str(), &handle, flags_of(mode), nullptr);
    Database database;
    database.handle_.reset(handle);
    if (handle == nullptr) return Error{"no memory to open " + path};
    if (code != SQLITE_OK) return error_of(handle);
    sqlite3_extended_result_codes(handle, 1);
    sqlite3_busy_timeout(handle, kBusyTimeoutMs);
    // Neither of these reads the file.
    if (auto set = database.run("PRAGMA foreign_keys=ON; PRAGMA trusted_schema=OFF"); !set)
        return Error{set.error()};
    if (!register_frame_values(handle)) return error_of(handle);
    return database;
}

Result<Done> Database::run(const std::string& sql) {
    if (sqlite3_exec(handle(), sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK)
        return error_of(handle());
    return Done{};
}

Result<std::int64_t> Database::number(const std::string& sql) {
    auto statement = Statement::prepare(*this, sql);
    if (!statement) return Error{statement.error()};
    const auto row = statement.value().step();
    if (!row) return Error{row.error()};
    return row.value() ? statement.value().integer(0) : 0;
}

Result<std::string> Database::text(const std::string& sql) {
    auto statement = Statement::prepare(*this, sql);
    if (!statement) return Error{statement.error()};
    const auto row = statement.value().step();
    if (!row) return Error{row.error()};
    return row.value() ? statement.value().string(0) : std::string{};
}

DatabaseError Database::error_kind() const {
    switch (sqlite3_errcode(handle()) & 0xff) {
        case SQLITE_OK:
        case SQLITE_ROW:
        case SQLITE_DONE:
            return DatabaseError::none;
        case SQLITE_CONSTRAINT:
        case SQLITE_MISMATCH:
        case SQLITE_TOOBIG:
        case SQLITE_RANGE:
            return DatabaseError::refused;
        case SQLITE_NOTADB:
        case SQLITE_CORRUPT:
            return DatabaseError::damaged;
        default:
            return DatabaseError::failing;
    }
}

std::string Database::error_text() const { return sqlite3_errmsg(handle()); }
std::int64_t Database::changes() const { return sqlite3_changes64(handle()); }
bool Database::in_transaction() const { return sqlite3_get_autocommit(handle()) == 0; }
bool Database::read_only() const { return sqlite3_db_readonly(handle(), "main") == 1; }

Result<Transaction> Transaction::begin(Database& database) {
    if (auto begun = database.run("BEGIN IMMEDIATE"); !begun) return Error{begun.error()};
    return Transaction(database);
}

Result<Done> Transaction::commit() {
    auto committed = database_->run("COMMIT");
    if (committed) database_ = nullptr;
    return committed;
}

Transaction::~Transaction() {
    if (database_ == nullptr || !database_->in_transaction()) return;
    // Nothing to do about a failing rollback: the next BEGIN says so.
    (void)database_->run("ROLLBACK");
}

void Statement::Finalize::operator()(sqlite3_stmt* handle) const { sqlite3_finalize(handle); }

Result<Statement> Statement::prepare(Database& database, std::string_view sql) {
    sqlite3_stmt* handle = nullptr;
    const int code =
        sqlite3_prepare_v2(database.handle(), sql.data(), static_cast<int>(sql.size()), &handle, nullptr);
    if (code != SQLITE_OK) return error_of(database.handle());
    Statement statement;
    statement.handle_.reset(handle);
    return statement;
}

// A bind that fails (no memory, too big) leaves NULL behind, which the NOT NULL columns refuse.
Statement& Statement::add(std::int64_t value) {
    sqlite3_bind_int64(handle_.get(), next_++, value);
    return *this;
}

Statement& Statement::add(const std::string& text) {
    sqlite3_bind_text64(handle_.get(), next_++, text.data(), text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
    return *this;
}

Statement& Statement::add(std::optional<std::int64_t> value) {
    if (value) return add(*value);
    sqlite3_bind_null(handle_.get(), next_++);
    return *this;
}

Statement& Statement::add_blob(const std::string& bytes) {
    sqlite3_bind_blob64(handle_.get(), next_++, bytes.data(), bytes.size(), SQLITE_TRANSIENT);
    return *this;
}

Result<bool> Statement::step() {
    const int code = sqlite3_step(handle_.get());
    if (code == SQLITE_ROW) return true;
    if (code == SQLITE_DONE) return false;
    return error_of(sqlite3_db_handle(handle_.get()));
}

Result<Done> Statement::finish() {
    auto row = step();
    while (row && row.value()) row = step();
    // The message is taken before reset, which would keep the code but may end a read transaction.
    reset();
    if (!row) return Error{row.error()};
    return Done{};
}

void Statement::reset() {
    sqlite3_reset(handle_.get());
    sqlite3_clear_bindings(handle_.get());
    next_ = 1;
}

std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(handle_.get(), column); }
int Statement::columns() const { return sqlite3_column_count(handle_.get()); }
bool Statement::null(int column) const { return sqlite3_column_type(handle_.get(), column) == SQLITE_NULL; }

std::string Statement::string(int column) const {
    const void* bytes = sqlite3_column_blob(handle_.get(), column);
    const int size = sqlite3_column_bytes(handle_.get(), column);
    if (bytes == nullptr || size <= 0) return {};
    return {static_cast<const char*>(bytes), static_cast<std::size_t>(size)};
}

std::string Statement::literal(int column) const {
    switch (sqlite3_column_type(handle_.get(), column)) {
        case SQLITE_NULL:
            return "NULL";
        case SQLITE_INTEGER:
            return std::to_string(integer(column));
        case SQLITE_BLOB:
            return "X'" + hex(string(column)) + "'";
        default:
            break;
    }
    std::string quoted = "'";
    for (const char byte : string(column)) quoted += byte == '\'' ? "''" : std::string(1, byte);
    return quoted + "'";
}

}  // namespace drumwatch
