// Sessions here are processes of their own, several at a time; on a small machine one test at a time is quick enough and keeps real-time sound undisturbed.
[assembly: Xunit.v3.Parallelization(Mode = Xunit.Sdk.ParallelMode.None)]
