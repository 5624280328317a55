// The three kinds of error (DEVELOPERS.md, "Errors").
//   InputError     the user's text or file is wrong: one line, exit 2
//   NumericsError  a solve did not converge; the state is unchanged: exit 3
//   WETRUN_REQUIRE our own bug: always on, stops the program
#pragma once
#include <stdexcept>
#include <string>

namespace wetrun {

/// Where in a file something stands. Line and column count from 1; 0 means unknown.
struct SourcePos {
  std::string file;
  int line = 0;
  int column = 0;
};

/// Bad input. what() is one line of UTF-8: "file:line:column: what is wrong; what would be right", each part cut at 600 bytes.
class InputError : public std::runtime_error {
public:
  InputError(const SourcePos& where, const std::string& wrong, const std::string& right);
  /// For text that is not in a file (a command-line option, a condition being parsed).
  InputError(const std::string& wrong, const std::string& right);
  const SourcePos& where() const { return where_; }
  const std::string& wrong() const { return wrong_; }
  const std::string& right() const { return right_; }
  /// The same complaint, placed at a position.
  InputError at(const SourcePos& where) const { return InputError(where, wrong_, right_); }

private:
  SourcePos where_;
  std::string wrong_, right_;
};

/// A numerical method gave up. what() names the place, the iterations and the residual.
class NumericsError : public std::runtime_error {
public:
  NumericsError(const std::string& place, int iterations, double residual, const std::string& unit);
};

[[noreturn]] void stop_for_bug(const char* file, int line, const char* condition);

}  // namespace wetrun

#define WETRUN_REQUIRE(condition) \
  ((condition) ? static_cast<void>(0) : ::wetrun::stop_for_bug(__FILE__, __LINE__, #condition))
