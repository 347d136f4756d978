SELECT thickness_mm, fans_rpm, to_within_0_5_k_s / 60 AS soak_min, rise_k
FROM read_parquet('thickness_and_speed/runs/*.parquet')
WHERE status = 'done'
ORDER BY thickness_mm, fans_rpm
