#include <fmt/format.h>
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <cmath>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <limits>
#include <sstream>

#include "engine/core/error.h"
#include "engine/core/random.h"
#include "engine/signal/history.h"

namespace wetrun {
namespace {

SignalTable two_signals() {
  SignalTable table;
  SignalInfo info;
  info.name = "tank.level";
  info.unit = "1";
  table.add(info);
  info.name = "pump.flow";
  info.unit = "m3/s";
  table.add(info);
  return table;
}

Frame frame_at(std::uint64_t step) {
  Frame frame;
  frame.step = step;
  frame.time_s = static_cast<double>(step) * 0.5;
  frame.value = {static_cast<double>(step) / 3, -static_cast<double>(step)};
  return frame;
}

std::string content(const std::string& path) {
  std::ifstream in(path);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

constexpr SignalId level{0}, flow{1};

TEST(CsvRecorder, WritesAHeaderAndNumbersThatReadBackExactly) {
  const std::string path = testing::TempDir() + "wetrun_history_test.csv";
  std::filesystem::remove(path);
  CsvRecorder recorder(path, two_signals(), {level, flow}, 2);
  for (std::uint64_t step = 0; step <= 4; ++step) recorder.add(frame_at(step));
  recorder.add(frame_at(4));  // a frame seen twice is written once
  EXPECT_FALSE(std::filesystem::exists(path));
  recorder.close();
  EXPECT_EQ(recorder.rows(), 3u);
  EXPECT_EQ(content(path),
            "time_s,tank.level [1],pump.flow [m3/s]\n0,0,-0\n1,0.6666666666666666,-2\n2,1.3333333333333333,-4\n");
  EXPECT_FALSE(std::filesystem::exists(path + ".part"));
  std::filesystem::remove(path);
}

/// The file as it was specified, number by number: the shortest text that reads back, and nothing remembered.
std::string plainly(const std::vector<Frame>& frames) {
  std::string text = "time_s,tank.level [1],pump.flow [m3/s]\n";
  for (const Frame& frame : frames) text += fmt::format("{},{},{}\n", frame.time_s, frame.value[0], frame.value[1]);
  return text;
}

TEST(CsvRecorder, WhatItRemembersOfAColumnChangesNoByte) {
  const std::string path = testing::TempDir() + "wetrun_history_columns.csv";
  const double inf = std::numeric_limits<double>::infinity(), nan = std::numeric_limits<double>::quiet_NaN();
  const double values[] = {0.0,
                           -0.0,
                           0.0,
                           1.0,
                           1.0,
                           1.0 + 0x1p-52,
                           1e15,
                           1e16,
                           1e-4,
                           1e-5,
                           -1e-5,
                           1e-300,
                           4.94e-324,
                           1e300,
                           -1e300,
                           100000,
                           123456.789,
                           -0.25,
                           -0.25,
                           inf,
                           -inf,
                           nan,
                           nan,
                           -nan,
                           1e-300,
                           2.5e-10,
                           0.0,
                           17976931348623157e292,
                           -22250738585072014e-324};
  std::vector<Frame> frames;
  for (const double value : values) {
    Frame frame = frame_at(frames.size());
    frame.value = {value, 1 / value};
    frames.push_back(frame);
  }
  Random random(11);
  for (int i = 0; i < 20000; ++i) {
    Frame frame = frame_at(frames.size());
    frame.time_s = std::exp(random.uniform(0, 40));
    const double size = std::exp(random.uniform(-700, 700)), plain = std::exp(random.uniform(-12, 45));
    // Every third stays as it was.
    frame.value = {i % 3 == 0 ? frames.back().value[0] : size, i % 3 == 1 ? frames.back().value[1] : -plain};
    frames.push_back(frame);
  }
  CsvRecorder recorder(path, two_signals(), {level, flow}, 1);
  for (const Frame& frame : frames) recorder.add(frame);
  recorder.close();
  EXPECT_EQ(content(path), plainly(frames));
  std::filesystem::remove(path);
}

TEST(CsvRecorder, SaysWhichFramesItWants) {
  CsvRecorder recorder(testing::TempDir() + "wetrun_history_wants.csv", two_signals(), {level, flow}, 2);
  EXPECT_TRUE(recorder.wants(0));
  EXPECT_FALSE(recorder.wants(1));
  recorder.add(frame_at(2));
  EXPECT_FALSE(recorder.wants(2));
  EXPECT_TRUE(recorder.wants(4));
}

TEST(CsvRecorder, LeavesNothingBehindWithoutClose) {
  const std::string path = testing::TempDir() + "wetrun_history_unfinished.csv";
  {
    CsvRecorder recorder(path, two_signals(), {level}, 1);
    recorder.add(frame_at(0));
    EXPECT_TRUE(std::filesystem::exists(path + ".part"));
  }
  EXPECT_FALSE(std::filesystem::exists(path));
  EXPECT_FALSE(std::filesystem::exists(path + ".part"));
}

TEST(CsvRecorder, RefusesPathsThatCannotBeWritten) {
  EXPECT_THROW(CsvRecorder("/nonexistent/x.csv", two_signals(), {level}, 1), InputError);
  EXPECT_THROW(CsvRecorder(testing::TempDir(), two_signals(), {level}, 1), InputError);
}

// A limit on file size stands in for a full disk: write() fails half way in the same manner, with EFBIG for ENOSPC.
TEST(CsvRecorder, NoticesAFullDiskAndCleansUp) {
  const std::string path = testing::TempDir() + "wetrun_history_full.csv";
  rlimit before{};
  ASSERT_EQ(getrlimit(RLIMIT_FSIZE, &before), 0);
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  rlimit small = before;
  small.rlim_cur = 4096;
  ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &small), 0);
  const auto fill = [&] {
    CsvRecorder recorder(path, two_signals(), {level, flow}, 1);
    for (std::uint64_t step = 0; step < 1000; ++step) recorder.add(frame_at(step));
    recorder.close();
  };
  std::string complaint;
  try {
    fill();
  } catch (const InputError& e) {
    complaint = e.what();
  }
  setrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, handler);
  EXPECT_NE(complaint.find("cannot be written: File too large"), std::string::npos) << complaint;
  EXPECT_FALSE(std::filesystem::exists(path));
  EXPECT_FALSE(std::filesystem::exists(path + ".part"));
}

TEST(CsvField, QuotesByRfc4180) {
  EXPECT_EQ(csv_field("plain text"), "plain text");
  EXPECT_EQ(csv_field("a,b"), "\"a,b\"");
  EXPECT_EQ(csv_field("say \"x\""), "\"say \"\"x\"\"\"");
  EXPECT_EQ(csv_field("a\nb"), "\"a\nb\"");
}

}  // namespace
}  // namespace wetrun
