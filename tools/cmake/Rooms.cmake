# Libraries of templates (JSON, Asio, test cases) take longer to read than our own code: where a target's files include
# them, several are compiled as one, and a full build takes a third of the time. The package's build compiles each
# file alone, so that a missing include is found.
option(DRUMWATCH_TOGETHER "Compile several files of a target as one" ON)
function(drumwatch_together target)
  if(DRUMWATCH_TOGETHER)
    set_target_properties(${target} PROPERTIES UNITY_BUILD ON UNITY_BUILD_BATCH_SIZE 8)
  endif()
endfunction()

# A room is one static library that can include only itself and the rooms it names: each room's headers stand behind
# an include root of its own (a link in the build tree), so that a forbidden include is a compile error.
#
#   drumwatch_room(NAME SOURCE_DIR [TOGETHER] LINKS ROOM...)   library drumwatch_NAME, headers as "NAME/..."
#
# Sources are every .cpp file below SOURCE_DIR, but for folders that are rooms or programs of their own (EXCEPT).
function(drumwatch_room name source_dir)
  cmake_parse_arguments(ROOM "TOGETHER" "" "LINKS;PRIVATE_LINKS;EXCEPT" ${ARGN})
  set(root ${CMAKE_BINARY_DIR}/include-roots/${name})
  file(MAKE_DIRECTORY ${root})
  file(CREATE_LINK ${CMAKE_SOURCE_DIR}/${source_dir} ${root}/${name} SYMBOLIC)
  file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/${source_dir}/*.cpp)
  foreach(except IN LISTS ROOM_EXCEPT)
    list(FILTER sources EXCLUDE REGEX "/${source_dir}/${except}")
  endforeach()
  if(sources)
    add_library(drumwatch_${name} STATIC ${sources})
    target_include_directories(drumwatch_${name} PUBLIC ${root})
    target_link_libraries(drumwatch_${name} PUBLIC ${ROOM_LINKS} PRIVATE drumwatch_flags ${ROOM_PRIVATE_LINKS})
    if(ROOM_TOGETHER)
      drumwatch_together(drumwatch_${name})
    endif()
  else()
    add_library(drumwatch_${name} INTERFACE)
    target_include_directories(drumwatch_${name} INTERFACE ${root})
    target_link_libraries(drumwatch_${name} INTERFACE ${ROOM_LINKS})
  endif()
endfunction()

# A test program of doctest cases, each found and run by ctest as a test of its own.
#   drumwatch_test(NAME [PURE: of rooms without threads] [ALONE: each file compiled by itself]
#                  SOURCES FILE... LINKS LIBRARY... [ENVIRONMENT VAR=VALUE...] [LABELS L...] [TIMEOUT S] [COST N])
# What a test with PURE computes must be the same by another compiler, and can't race: target pure_tests is all of these,
# and a build with the thread sanitizer leaves them out.
add_custom_target(pure_tests)
function(drumwatch_test name)
  cmake_parse_arguments(TEST "PURE;ALONE" "TIMEOUT;COST" "SOURCES;LINKS;ENVIRONMENT;LABELS" ${ARGN})
  if(NOT TEST_TIMEOUT)
    set(TEST_TIMEOUT 120)
  endif()
  if(NOT TEST_COST)
    set(TEST_COST 0)
  endif()
  add_executable(${name} ${TEST_SOURCES})
  target_link_libraries(${name} PRIVATE drumwatch_flags drumwatch_test_main ${TEST_LINKS})
  if(NOT TEST_ALONE)
    drumwatch_together(${name})
  endif()
  if(TEST_PURE)
    add_dependencies(pure_tests ${name})
    if(DRUMWATCH_SANITIZE STREQUAL "thread")
      set_target_properties(${name} PROPERTIES EXCLUDE_FROM_ALL ON)
      return()
    endif()
  endif()
  # Properties travel as one list, in which an empty value would vanish and the next name take its place.
  set(properties TIMEOUT ${TEST_TIMEOUT} COST ${TEST_COST} FAIL_REGULAR_EXPRESSION "test cases: +0")
  if(TEST_ENVIRONMENT)
    list(APPEND properties ENVIRONMENT "${TEST_ENVIRONMENT}")
  endif()
  if(TEST_PURE)
    list(APPEND TEST_LABELS pure)
  endif()
  if(TEST_LABELS)
    string(JOIN "+" label ${TEST_LABELS})  # a list in the list would lose its second word; -L and -LE search in it
    list(APPEND properties LABELS ${label})
  endif()
  doctest_discover_tests(${name} TEST_PREFIX "${name}: " PROPERTIES ${properties})
endfunction()

# Libraries that only compute are optimised in sanitizer builds as well: that makes their tests several times faster
# and costs next to nothing (where much is templates it would double the time of compiling).
function(drumwatch_optimise)
  if(DRUMWATCH_SANITIZE)
    foreach(library IN LISTS ARGN)
      target_compile_options(${library} PRIVATE -O1)
    endforeach()
  endif()
endfunction()
