// SQLite with C++ manners, for this room only: a connection and a prepared statement that close themselves.
// Thread: one a connection. Errors are sentences with SQLite's own words; error_kind() says what may help.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "core/result.hpp"

struct sqlite3;
struct sqlite3_stmt;

namespace drumwatch {

/// What an error means for whoever wrote.
enum class DatabaseError : std::uint8_t {
    none,
    refused,  ///< these values can never be stored (a constraint, a type, too big): trying again is useless
    damaged,  ///< the file is not a database or is corrupt
    failing,  ///< disk full, I/O error, busy, read-only: may pass
};

enum class OpenMode : std::uint8_t { read_only, read_write, create };

class Database {
  public:
    /// Opens and sets what every connection of ours has: busy_timeout 5 s, foreign_keys on, synchronous=FULL,
    /// and frame_values() (frame_values.hpp). Does not touch the file yet: the first statement does.
    static Result<Database> open(const std::string& path, OpenMode mode);

    Result<Done> run(const std::string& sql);
    Result<std::int64_t> number(const std::string& sql);  ///< first column of the first row; 0 without a row
    Result<std::string> text(const std::string& sql);
    DatabaseError error_kind() const;  ///< of the newest call
    std::string error_text() const;
    std::int64_t changes() const;  ///< rows changed by the newest statement
    bool in_transaction() const;
    bool read_only() const;
    sqlite3* handle() const { return handle_.get(); }

  private:
    struct Close {
        void operator()(sqlite3* handle) const;
    };
    std::unique_ptr<sqlite3, Close> handle_;
};

/// BEGIN IMMEDIATE now; rolled back at the end of its life unless committed (SQLite may have rolled back
/// itself after a full disk: that is asked first).
class Transaction {
  public:
    static Result<Transaction> begin(Database& database);
    Result<Done> commit();
    ~Transaction();
    Transaction(Transaction&& other) noexcept : database_(std::exchange(other.database_, nullptr)) {}
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    Transaction& operator=(Transaction&&) = delete;

  private:
    explicit Transaction(Database& database) : database_(&database) {}
    Database* database_;
};

class Statement {
  public:
    static Result<Statement> prepare(Database& database, std::string_view sql);

    /// Binds the next parameter, from the first on; nullopt binds NULL. Text is copied.
    Statement& add(std::int64_t value);
    Statement& add(std::uint64_t value) { return add(static_cast<std::int64_t>(value)); }
    Statement& add(int value) { return add(static_cast<std::int64_t>(value)); }
    Statement& add(const std::string& text);
    Statement& add(std::optional<std::int64_t> value);
    Statement& add_blob(const std::string& bytes);
    /// True: a row is there. False: done.
    Result<bool> step();
    /// Steps to the end, forgets rows, and makes the statement ready for new parameters.
    Result<Done> finish();
    void reset();

    std::int64_t integer(int column) const;
    std::uint64_t id(int column) const { return static_cast<std::uint64_t>(integer(column)); }
    bool null(int column) const;
    int columns() const;
    std::string string(int column) const;  ///< text or blob; may hold any byte
    /// As SQL writes a value: 12, 'a text with '' doubled', X'00ff', NULL.
    std::string literal(int column) const;

  private:
    struct Finalize {
        void operator()(sqlite3_stmt* handle) const;
    };
    std::unique_ptr<sqlite3_stmt, Finalize> handle_;
    int next_ = 1;
};

/// `look` is given the statement at each row that `sql` finds.
template <typename Look>
Result<Done> each_row(Database& database, std::string_view sql, Look look) {
    auto statement = Statement::prepare(database, sql);
    if (!statement) return Error{statement.error()};
    auto row = statement.value().step();
    for (; row && row.value(); row = statement.value().step()) look(std::as_const(statement.value()));
    if (!row) return Error{row.error()};
    return Done{};
}

}  // namespace drumwatch
