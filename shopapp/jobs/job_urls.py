"""Addresses of jobs, of the technician's pages and of problems."""

from django.urls import path

from shopapp.jobs.views import jobs, problems, work

AT_THE_BOAT = "jobs/<int:pk>/work"

urlpatterns = [
    path("jobs/", jobs.jobs, name="jobs"),
    path("jobs/board/", jobs.board, name="board"),
    path("jobs/mine/", work.mine, name="mine"),
    path("jobs/<int:pk>/", jobs.job, name="job"),
    path("jobs/<int:pk>/move/<slug:after>/", jobs.job_move, name="job_move"),
    path("jobs/<int:pk>/schedule/", jobs.job_schedule, name="job_schedule"),
    path("jobs/<int:pk>/pick/", jobs.job_pick, name="job_pick"),
    path("jobs/<int:pk>/reserve/", jobs.job_reserve, name="job_reserve"),
    path(f"{AT_THE_BOAT}/", work.work, name="work"),
    path(f"{AT_THE_BOAT}/start/", work.work_start, name="work_start"),
    path(f"{AT_THE_BOAT}/steps/<int:step>/", work.work_step, name="work_step"),
    path(f"{AT_THE_BOAT}/steps/<int:step>/back/", work.work_step_back, name="work_step_back"),
    path(f"{AT_THE_BOAT}/hold/", work.work_hold, name="work_hold"),
    path(f"{AT_THE_BOAT}/close/", work.work_close, name="work_close"),
    path("jobs/<int:pk>/problems/add/", problems.problem_add, name="problem_add"),
    path("problems/", problems.problems, name="problems"),
    path("problems/<int:pk>/", problems.problem, name="problem"),
    path("problems/<int:pk>/solve/", problems.problem_solve, name="problem_solve"),
    path("problems/<int:pk>/open/", problems.problem_open, name="problem_open"),
    path("problems/<int:pk>/photo/", problems.problem_photo, name="problem_photo"),
]
