// `wetrun play`, `clean` and `replay --out`, killed at random moments and at the moments of writing: what stands under a final
// name is whole, old results are not lost, and the same command run again gives the same files to the byte.
//
//   WETRUN_KILLS=100 build-release/tests/chaos_command_kills_test       as many kills as wanted; a few without it
#include <gtest/gtest.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <map>

#include "engine/core/random.h"
#include "tests/support/folder_watch.h"
#include "tests/support/trainer_driver.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;
using Files = std::map<std::string, std::string>;  // text by path below the folder

int kills(int without) {
  const char* words = std::getenv("WETRUN_KILLS");
  return words ? std::max(1, std::atoi(words)) : without;
}

Files files_of(const std::string& folder) {
  Files files;
  if (!fs::exists(folder)) return files;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) files[fs::relative(entry.path(), folder).string()] = read_text(entry.path().string());
  return files;
}

std::size_t parts_in(const Files& files) {
  return static_cast<std::size_t>(
      std::count_if(files.begin(), files.end(), [](const auto& each) { return each.first.ends_with(".part"); }));
}

/// A command with --out, and what it leaves when nobody disturbs it.
struct Job {
  std::vector<std::string> words;  // without --out
  int code = 0;
  double takes_s = 0;
  Files files;
  std::string last;  // the file that takes its name last
};

class CommandKills : public ::testing::Test {
protected:
  Child start(const Job& job, const std::string& out) const {
    std::vector<std::string> words = {std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun"};
    words.insert(words.end(), job.words.begin(), job.words.end());
    words.insert(words.end(), {"--out", out});
    return Child(words, {}, "", "");
  }
  Job job(const std::vector<std::string>& words, const std::string& last) const {
    Job made;
    made.words = words;
    made.last = last;
    const std::string out = folder_.file("undisturbed");
    const auto from = std::chrono::steady_clock::now();
    made.code = start(made, out).wait(120).value_or(-1);
    made.takes_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count();
    made.files = files_of(out);
    fs::remove_all(out);
    EXPECT_EQ(parts_in(made.files), 0u);
    EXPECT_TRUE(made.files.contains(last));
    return made;
  }
  TestFolder folder_;
};

TEST_F(CommandKills, WholeFilesOrNoneAndTheSameWhenRunAgain) {
  const std::string recording = folder_.file("recording.jsonl");
  const Job first = job({"play", "first_water", "--operator", "first_water_hasty"}, "recording.jsonl");
  std::ofstream(recording, std::ios::binary) << first.files.at("recording.jsonl");
  const std::vector<Job> jobs = {first, job({"clean", "acid_clean", "--skid", "ostrey"}, "recording.jsonl"),
                                 job({"replay", recording}, "replay.txt")};
  const Job before = job({"play", "first_water", "--operator", "first_water_careful"}, "recording.jsonl");
  Random random(6);
  int killed = 0, whole = 0, untouched = 0, between = 0, with_parts = 0;
  const int wanted = kills(8);
  for (int round = 0; killed < wanted; ++round) {
    ASSERT_LT(round, 20 * wanted) << "it is always done before it is killed";
    const Job& job = jobs[static_cast<std::size_t>(random.below(jobs.size()))];
    const std::string out = folder_.file("out");
    fs::remove_all(out);
    // Nothing there; results of another run; files of somebody else.
    Files old;
    if (const std::uint64_t what = random.below(3); what > 0) {
      old = what == 1 ? before.files : Files{{"notes.txt", "mine"}, {"input/skid.toml", "mine, too"}};
      for (const auto& [name, text] : old) {
        fs::create_directories(fs::path(out + "/" + name).parent_path());
        std::ofstream(out + "/" + name, std::ios::binary) << text;
      }
    }
    const bool at_a_write = random.below(2) == 0;
    FolderWatch watch;
    if (at_a_write) {
      fs::create_directories(out);
      watch.add(out);
    }
    const double after_s = random.uniform() * 1.1 * job.takes_s;
    const auto nth = static_cast<std::size_t>(random.below(2 * job.files.size() * 4));
    const int delay_us = static_cast<int>(random.below(400));
    Child program = start(job, out);
    if (at_a_write) {
      std::size_t seen = 0;
      while (seen <= nth && program.running()) seen += watch.events(5).size();
      std::this_thread::sleep_for(std::chrono::microseconds(delay_us));
    } else {
      std::this_thread::sleep_for(std::chrono::duration<double>(after_s));
    }
    program.send(SIGKILL);
    const std::optional<int> code = program.wait(30);
    ASSERT_TRUE(code.has_value());
    if (*code != -SIGKILL) {
      EXPECT_EQ(*code, job.code);
      continue;  // it was quicker
    }
    ++killed;
    const Files now = files_of(out);
    std::size_t of_old = 0, of_new = 0;
    for (const auto& [name, text] : now) {
      if (name.ends_with(".part")) continue;
      const bool is_old = old.contains(name) && old.at(name) == text;
      const bool is_new = job.files.contains(name) && job.files.at(name) == text;
      EXPECT_TRUE(is_old || is_new) << name << " is neither what it was nor what it was to be: " << text.size()
                                    << " bytes, round " << round;
      if (job.files.contains(name) && !(is_old && is_new)) ++(is_new ? of_new : of_old);
    }
    for (const auto& [name, text] : old) EXPECT_TRUE(now.contains(name)) << name << " is lost, round " << round;
    const bool done = now.contains(job.last) && now.at(job.last) == job.files.at(job.last);
    if (done) {
      for (const auto& [name, text] : job.files)
        EXPECT_EQ(now.contains(name) ? now.at(name) : "", text) << name << ": " << job.last << " came before it";
    }
    with_parts += parts_in(now) > 0;
    whole += of_new > 0 && of_old == 0;
    between += of_new > 0 && of_old > 0;
    untouched += of_new == 0;
    // Again: the same files, and nothing of the attempt that was killed.
    EXPECT_EQ(start(job, out).wait(120), job.code);
    Files expected = old;
    for (const auto& [name, text] : job.files) expected[name] = text;
    EXPECT_EQ(files_of(out), expected) << "round " << round;
    ASSERT_FALSE(HasFailure()) << "round " << round << ", " << job.words[0];
  }
  std::printf(
      "%d kills: %d before anything had its name, %d with new files only, %d between two names; %d left parts, "
      "none after running again\n",
      killed, untouched, whole, between, with_parts);
}

TEST_F(CommandKills, ToldToEndItTakesItsFilesAway) {
  const Job job = this->job({"clean", "acid_clean", "--skid", "ostrey"}, "recording.jsonl");
  const std::string out = folder_.file("out"), mine = out + "/mine";
  for (const int signal : {SIGTERM, SIGINT, SIGHUP}) {
    for (const bool there : {false, true}) {
      fs::remove_all(out);
      if (there) {
        fs::create_directories(out);
        std::ofstream(mine) << "mine";
      }
      Child program = start(job, out);
      while (program.running() && !fs::exists(out + "/history.csv.part"))
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
      program.send(signal);
      EXPECT_EQ(program.wait(30), -signal) << "as who sent it expects";
      EXPECT_EQ(fs::exists(out), there);
      EXPECT_EQ(files_of(out), there ? (Files{{"mine", "mine"}}) : Files{});
    }
  }
}

TEST_F(CommandKills, WhatNohupProtectsGoesOn) {
  const Job job = this->job({"clean", "acid_clean", "--skid", "ostrey"}, "recording.jsonl");
  const std::string out = folder_.file("out");
  std::signal(SIGHUP, SIG_IGN);  // inherited
  Child program = start(job, out);
  std::signal(SIGHUP, SIG_DFL);
  while (program.running() && !fs::exists(out + "/history.csv.part"))
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  program.send(SIGHUP);
  EXPECT_EQ(program.wait(120), job.code);
  EXPECT_EQ(files_of(out), job.files);
}

}  // namespace
}  // namespace wetrun
