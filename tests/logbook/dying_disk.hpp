// A disk at which the program dies: SQLite's own access to files, counted, so that a
// test can end the process before the N-th write, sync or delete.
#pragma once

#include <sqlite3.h>
#include <unistd.h>

#include <csignal>

namespace slowdawn::testing {

class DyingDisk {
 public:
  /// Kills this process before the operation of that number, from 1.
  explicit DyingDisk(int last) {
    real_disk() = sqlite3_vfs_find(nullptr);
    left() = last;
    static sqlite3_vfs disk;
    disk = *real_disk();
    disk.zName = "dying";
    disk.szOsFile = static_cast<int>(sizeof(File)) + real_disk()->szOsFile;
    disk.xOpen = open;
    disk.xDelete = [](sqlite3_vfs*, const char* path, int sync) {
      count();
      return real_disk()->xDelete(real_disk(), path, sync);
    };
    sqlite3_vfs_register(&disk, 1);
  }

 private:
  /// SQLite's own file lies behind it.
  struct File {
    sqlite3_file base;
    sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
  };

  static sqlite3_vfs*& real_disk() {
    static sqlite3_vfs* disk = nullptr;
    return disk;
  }
  static int& left() {
    static int operations = 0;
    return operations;
  }
  static void count() {
    if (--left() == 0) ::kill(::getpid(), SIGKILL);
  }
  static sqlite3_file* real(sqlite3_file* file) { return reinterpret_cast<File*>(file)->real(); }
  static const sqlite3_io_methods* methods(sqlite3_file* file) { return real(file)->pMethods; }

  static int open(sqlite3_vfs*, const char* path, sqlite3_file* file, int flags, int* out) {
    static const sqlite3_io_methods counted = count_methods();
    const int result = real_disk()->xOpen(real_disk(), path, real(file), flags, out);
    file->pMethods = real(file)->pMethods == nullptr ? nullptr : &counted;
    return result;
  }

  static sqlite3_io_methods count_methods() {
    sqlite3_io_methods counted{};
    counted.iVersion = 1;
    counted.xClose = [](sqlite3_file* f) { return methods(f)->xClose(real(f)); };
    counted.xRead = [](sqlite3_file* f, void* to, int bytes, sqlite3_int64 at) {
      return methods(f)->xRead(real(f), to, bytes, at);
    };
    counted.xWrite = [](sqlite3_file* f, const void* from, int bytes, sqlite3_int64 at) {
      count();
      return methods(f)->xWrite(real(f), from, bytes, at);
    };
    counted.xTruncate = [](sqlite3_file* f, sqlite3_int64 size) {
      count();
      return methods(f)->xTruncate(real(f), size);
    };
    counted.xSync = [](sqlite3_file* f, int flags) {
      count();
      return methods(f)->xSync(real(f), flags);
    };
    counted.xFileSize = [](sqlite3_file* f, sqlite3_int64* size) {
      return methods(f)->xFileSize(real(f), size);
    };
    counted.xLock = [](sqlite3_file* f, int level) { return methods(f)->xLock(real(f), level); };
    counted.xUnlock = [](sqlite3_file* f, int level) {
      return methods(f)->xUnlock(real(f), level);
    };
    counted.xCheckReservedLock = [](sqlite3_file* f, int* is_locked) {
      return methods(f)->xCheckReservedLock(real(f), is_locked);
    };
    counted.xFileControl = [](sqlite3_file* f, int what, void* with) {
      return methods(f)->xFileControl(real(f), what, with);
    };
    counted.xSectorSize = [](sqlite3_file* f) { return methods(f)->xSectorSize(real(f)); };
    counted.xDeviceCharacteristics = [](sqlite3_file* f) {
      return methods(f)->xDeviceCharacteristics(real(f));
    };
    return counted;
  }
};

}  // namespace slowdawn::testing
