// Sessions here are processes of their own, which wait half of their time: two at a time. What is measured against the clock, or takes every processor by itself, is in the collection Alone.
[assembly: Xunit.v3.Parallelization(MaxThreads = 2)]
